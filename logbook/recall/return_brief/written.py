"""The next steps as a person wrote them into the note of the last day, one by one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime

from logbook.bench.models import BenchSession
from logbook.evidence.notes import items_of
from logbook.projects.models import ShelvingNote


def steps_written(note: ShelvingNote | None, last: BenchSession | None) -> tuple[str, ...]:
    """Return the steps of the note, each once; none where somebody was at the bench after it."""
    if note is None or (last is not None and _is_after(last.started_at, note)):
        return ()
    return tuple(_each_once(items_of(note.next_steps)))


def _is_after(moment: datetime, note: ShelvingNote) -> bool:
    return moment > note.recorded_at


def _each_once(texts: tuple[str, ...]) -> Iterator[str]:
    seen: set[str] = set()
    for text in texts:
        plain = " ".join(re.findall(r"\w+", text.casefold()))
        if plain and plain not in seen:
            seen.add(plain)
            yield text
