"""Which instruments are out of calibration, by the site's own rule."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any
from urllib.parse import quote

from board_logbook_client.planning import pages
from board_logbook_client.site import Site


def out_of_calibration(site: Site, names: Sequence[str] = (), day: date | None = None) -> list[str]:
    """Return a sentence for each instrument that is out of calibration on a day, today when left out.

    Without names all instruments of the site in use are looked at; one without a calibration on record is not
    out of it.
    """
    if names:
        found = [site.ask(f"instruments/{quote(name, safe='')}/") for name in names]
    else:
        found = [one for one in pages(site, "instruments/", {}) if not one["retired"]]
    sentences = [_sentence(one, day or date.today()) for one in found]  # noqa: DTZ011 - the bench's own day
    return [one for one in sentences if one]


def _sentence(instrument: dict[str, Any], day: date) -> str:
    """Return what is wrong with an instrument; empty where its latest calibration still holds."""
    before = [one for one in instrument["calibrations"] if date.fromisoformat(one["on"]) <= day]
    if not before:
        return ""
    due = max(before, key=lambda one: (one["on"], one["id"]))["next_due"]
    if day <= date.fromisoformat(due):
        return ""
    return f"{instrument['name']} out of calibration since {due}"
