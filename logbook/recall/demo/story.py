"""The files of the demo as one story in time order."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

from logbook.common.errors import InvalidInputError

FOLDER: Path = settings.BASE_DIR / "fixtures" / "demo"


@dataclass(frozen=True)
class Entry:
    """One thing that happened: when, by whom, on which project, and what it says."""

    at: datetime
    by: str
    do: str
    project: str = ""
    says: Mapping[str, Any] = field(default_factory=dict)


def story(folder: Path = FOLDER) -> list[Entry]:
    """Return every entry of every file, oldest first; entries of one moment keep the order of their file."""
    entries = [entry for path in sorted(folder.glob("*.json")) for entry in entries_of(path)]
    return sorted(entries, key=lambda entry: entry.at)


def entries_of(path: Path) -> list[Entry]:
    """Return the entries of one file."""
    content = json.loads(path.read_text(encoding="utf-8"))
    return [_entry(raw, content.get("project", ""), path.name) for raw in content["entries"]]


def _entry(raw: dict[str, Any], project: str, file: str) -> Entry:
    missing = [name for name in ("at", "by", "do") if not raw.get(name)]
    if missing:
        message = f"an entry of {file} lacks {', '.join(missing)}: {str(raw)[:120]}"
        raise InvalidInputError.of(missing[0], message, allowed="at, by and do in every entry")
    says = {name: value for name, value in raw.items() if name not in {"at", "by", "do"}}
    return Entry(moment_of(raw["at"]), raw["by"], raw["do"], project, says)


def moment_of(text: str) -> datetime:
    """Return the moment a text such as ``2020-10-20 19:10`` names, in the time zone of the site."""
    return timezone.make_aware(datetime.fromisoformat(text))
