"""Saving calculations, and changing them. What they come to is computed here, never typed in."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.db import transaction

from logbook.calculations.choices import Method
from logbook.calculations.lines import part_text
from logbook.calculations.models import Calculation
from logbook.calculations.translate import StackAsked, asked_of, computed, kept_bands, kept_parts
from logbook.common import clock
from logbook.common.changes import Actor, check_whole, note_change, store_new
from logbook.projects.models import Project

ASKED = ("formula", "parts", "unit", "samples", "seed")
TOLD = ("name", "source", "note")


@transaction.atomic
def save_calculation(
    *,
    actor: Actor,
    project: Project,
    key: str,
    name: str,
    asked: StackAsked,
    source: str = "",
    note: str = "",
) -> Calculation:
    """Keep a calculation on a project, as version 1, with the bands it gives."""
    calculation = Calculation(
        project=project,
        key=key,
        name=name,
        source=source,
        note=note,
        changed_at=clock.now(),
        changed_by=actor.user,
        **_computed(asked),
    )
    store_new(calculation, actor=actor)
    return calculation


@transaction.atomic
def change_calculation(*, actor: Actor, calculation: Calculation, values: dict[str, Any]) -> Calculation:
    """Change a calculation. Anything that is computed with makes a new version and new bands.

    ``values`` are fields of ``StackAsked`` and descriptive ones; limits that were taken from a band stay as
    they were issued.
    """
    kept = Calculation.objects.select_for_update(no_key=True).get(pk=calculation.pk)
    asked = replace(asked_of(kept), **{name: values[name] for name in ASKED if name in values})
    wanted = {name: values[name] for name in TOLD if name in values}
    wanted |= _computed(asked) if any(name in values for name in ASKED) else {}
    changed = {name: value for name, value in wanted.items() if getattr(kept, name) != value}
    if not changed:
        return kept
    if any(name in changed for name in ASKED):
        changed["version"] = kept.version + 1
    changed |= {"changed_at": clock.now(), "changed_by": actor.user}
    told = _told(kept, changed)
    for name, value in changed.items():
        setattr(kept, name, value)
    check_whole(kept)
    kept.save(update_fields=list(changed))
    note_change(kept, action="changed", actor=actor, project_id=kept.project_id, fields=told)
    return kept


def _computed(asked: StackAsked) -> dict[str, Any]:
    """Return the fields of what is asked and of what it comes to."""
    found = computed(asked)
    return {
        "formula": asked.formula.strip(),
        "parts": kept_parts(asked.parts),
        "unit": found.unit,
        "samples": asked.samples,
        "seed": asked.seed,
        "bands": kept_bands(found),
    }


def _told(before: Calculation, changed: dict[str, Any]) -> dict[str, list[str]]:
    """Return old and new as a person reads them: part by part, band by band."""
    plain = ("name", "formula", "unit", "samples", "seed", "source", "note", "version")
    told = {name: [str(getattr(before, name)), str(changed[name])] for name in plain if name in changed}
    parts = changed.get("parts", before.parts)
    for name in dict.fromkeys([*before.parts, *parts]):
        pair = [part_text(one[name]) if name in one else "" for one in (before.parts, parts)]
        if pair[0] != pair[1]:
            told[name] = pair
    bands, unit = changed.get("bands", before.bands), changed.get("unit", before.unit)
    for method in Method:
        pair = [_band_text(before.bands, method, before.unit), _band_text(bands, method, unit)]
        if pair[0] != pair[1]:
            told[f"band {method.label}"] = pair
    return told


def _band_text(bands: dict[str, Any], method: str, unit: str) -> str:
    low, high = (float(bands[method][end]) for end in ("low", "high"))
    return f"{low:.6g} to {high:.6g} {unit}".rstrip()
