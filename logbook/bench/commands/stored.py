"""Readings as rows of the table: what a list of thousands carries instead of instances."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any, NamedTuple

from django.db.models.base import ModelState

from logbook.accounts.models import User
from logbook.bench.models import BenchSession, Instrument, InstrumentRange, Measurement, Target, TargetIssue
from logbook.boards.models import Board
from logbook.common.prepared import Prepared, columns_of, ids_given, listed, texts_given
from logbook.projects.models import Project

COLUMNS = columns_of(Measurement)
RELATIONS = (
    "project",
    "board",
    "target",
    "issue",
    "instrument",
    "instrument_range",
    "bench_session",
    "recorded_by",
    "withdrawn_by",
)


class Names(NamedTuple):
    """What the rows a reading points to are called; empty values where it points to none."""

    project: str
    board: str
    target: str | None
    issue: int | None
    issue_unit: str | None
    instrument: str | None
    recorded_by: str | None
    withdrawn_by: str | None


@dataclass(frozen=True)
class Resolved:
    """The rows a reading not stored yet points to."""

    project: Project
    board: Board
    target: Target | None
    issue: TargetIssue | None
    instrument: Instrument | None
    bench_session: BenchSession | None
    recorded_by: User | None
    withdrawn_by: User | None = None

    @cached_property
    def names(self) -> Names:
        """Return what they are called."""
        return Names(
            self.project.slug,
            self.board.serial,
            self.target.key if self.target else None,
            self.issue.number if self.issue else None,
            self.issue.unit if self.issue else None,
            self.instrument.name if self.instrument else None,
            self.recorded_by.username if self.recorded_by else None,
            None,
        )

    @cached_property
    def ids(self) -> dict[str, int | None]:
        """Return their ids by the columns that hold them."""
        target, issue, instrument = self.target, self.issue, self.instrument
        return {
            "project_id": self.project.id,
            "board_id": self.board.id,
            "target_id": target.id if target else None,
            "issue_id": issue.id if issue else None,
            "instrument_id": instrument.id if instrument else None,
            "bench_session_id": self.bench_session.id if self.bench_session else None,
            "recorded_by_id": self.recorded_by.id if self.recorded_by else None,
        }


class StoredReading:
    """A row of the table of measurements, stored or about to be. Its columns are attributes."""

    id: int
    pk: int
    project_id: int
    board_id: int
    target_id: int | None
    issue_id: int | None
    instrument_id: int | None
    bench_session_id: int | None
    point: str
    place: str
    outcome: str
    text: str
    value: str
    unit: str
    repeats: list[str]
    trials: int | None
    expanded_uncertainty: str
    coverage_factor: str
    degrees_of_freedom: float | None
    uncertainty_from: str
    taken_at: datetime
    recorded_at: datetime
    via: str
    firmware: str
    conditions: dict[str, Any]
    note: str
    key: str
    content_digest: str
    verdict: str
    rule: str
    reason: str
    conformance_probability: float | None
    margin: str
    margin_percent: float | None
    test_uncertainty_ratio: float | None
    undecidable: bool
    withdrawn_at: datetime | None
    withdrawn_because: str
    names: Names

    def __init__(self, columns: dict[str, Any], names: Names) -> None:
        self.__dict__ = columns
        self.names = names

    def __str__(self) -> str:
        return f"{self.value} {self.unit}" if self.value and self.unit else self.text

    def number(self, pk: int) -> None:
        """Take the id under which the row is stored."""
        self.id = self.pk = pk

    def measurement(self) -> Measurement:
        """Return the row as the framework reads it. One query."""
        rows = Measurement.objects.select_related(*(name for name in RELATIONS if name != "instrument_range"))
        return rows.get(pk=self.pk)


class FreshReading(StoredReading):
    """A reading stored just now, whose relations are at hand."""

    def __init__(self, columns: dict[str, Any], resolved: Resolved, used: InstrumentRange | None) -> None:
        super().__init__(columns, resolved.names)
        self._resolved, self._range = resolved, used

    def measurement(self) -> Measurement:
        """Return the row as the framework would read it. No query."""
        row = Measurement.__new__(Measurement)
        kept = vars(self)
        row.__dict__.update((name, kept[name]) for name in COLUMNS)
        row._state = ModelState()
        row._state.adding, row._state.db = False, None
        related = row._state.fields_cache
        related.update(
            (name, getattr(self._resolved, name)) for name in RELATIONS if name != "instrument_range"
        )
        related["instrument_range"] = self._range
        return row


def stored_under(places: Iterable[tuple[int, str]]) -> dict[tuple[int, str], StoredReading]:
    """Return what is stored under the keys of some projects. One query, none without a key."""
    wanted = set(places)
    if not wanted:
        return {}
    projects, keys = {project_id for project_id, _ in wanted}, {key for _, key in wanted}
    found: dict[tuple[int, str], StoredReading] = {}
    width = len(COLUMNS)
    for row in _UNDER_KEYS.rows(listed(projects), listed(keys)):
        reading = StoredReading(dict(zip(COLUMNS, row[:width], strict=True)), Names._make(row[width:]))
        reading.pk = reading.id
        found[reading.project_id, reading.key] = reading
    return found


_UNDER_KEYS = Prepared(
    lambda: (
        Measurement.objects.filter(project_id__among=ids_given(0), key__among=texts_given(1))
        .order_by()
        .values_list(
            *COLUMNS,
            "project__slug",
            "board__serial",
            "target__key",
            "issue__number",
            "issue__unit",
            "instrument__name",
            "recorded_by__username",
            "withdrawn_by__username",
        )
    )
)
