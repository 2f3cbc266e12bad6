"""A reading as it comes in through any door, and what becomes of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any

from logbook.bench.commands.stored import StoredReading
from logbook.bench.models import Measurement
from logbook.common.errors import DomainError

Number = str | int | float | Decimal
Given = Number | bool


@dataclass(frozen=True)
class ReadingInput:
    """One reading as given. Names are natural keys; nothing is resolved or checked yet.

    ``value`` may be text with or without a unit, a number, ``True``/``False``, ``"99 of 100"``, or one
    of the words *seen working*, *not working*, *inconclusive*. With ``repeats``, the values a reading
    was repeated with, it may be left out: it is their mean.
    """

    project: str
    board: str
    value: Given = ""
    target: str = ""
    point: str = ""
    unit: str = ""
    repeats: Sequence[Number] = ()
    expanded_uncertainty: Number | None = None
    coverage_factor: Number | None = None
    taken_at: datetime | None = None
    instrument: str = ""
    instrument_range: str = ""
    bench_session: int | None = None
    firmware: str = ""
    place: str = ""
    conditions: Mapping[str, Any] = field(default_factory=dict)
    note: str = ""
    key: str = ""

    @classmethod
    def of(cls, values: dict[str, Any]) -> ReadingInput:
        """Return the reading of these fields, project and board among them; for lists of thousands."""
        item = cls.__new__(cls)
        # What is not given is looked up on the class, but for the one default made for each.
        item.__dict__.update(values)
        item.__dict__.setdefault("conditions", {})
        return item


@dataclass(frozen=True, slots=True)
class Recorded:
    """What became of one reading: stored, duplicate (already there) or rejected with its error."""

    index: int
    status: str
    reading: StoredReading | None = None
    error: DomainError | None = None

    @property
    def measurement(self) -> Measurement | None:
        """Return the reading as the framework reads it. One query for a duplicate, none when just stored."""
        return self.reading.measurement() if self.reading is not None else None
