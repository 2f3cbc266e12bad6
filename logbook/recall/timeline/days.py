"""Days of a timeline, the newest first, some at a time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from logbook.projects.models import Project
from logbook.recall.timeline.line import Line
from logbook.recall.timeline.readings import KIND, reading_lines, readings_with_day
from logbook.recall.timeline.sources import SOURCES

DAYS_A_PAGE = 12
KINDS = tuple(dict.fromkeys([*(source.kind for source in SOURCES), KIND]))


@dataclass(frozen=True)
class Day:
    """A day on which something happened; photos stand apart."""

    day: date
    lines: tuple[Line, ...]

    @property
    def photos(self) -> tuple[Line, ...]:
        """Return what has a picture."""
        return tuple(line for line in self.lines if line.picture)

    @property
    def told(self) -> tuple[Line, ...]:
        """Return what has none."""
        return tuple(line for line in self.lines if not line.picture)


@dataclass(frozen=True)
class Timeline:
    """Some days, and the day to go on before; none at the end."""

    days: tuple[Day, ...]
    before: date | None


def timeline_of(project: Project, *, kind: str = "", before: date | None = None) -> Timeline:
    """Return the days with something of ``kind``, or anything, newest first. At most fourteen queries."""
    days = _days(project, kind, before)
    shown = days[:DAYS_A_PAGE]
    if not shown:
        return Timeline((), None)
    lines = lines_of(project, kind=kind, first=shown[-1], last=shown[0])
    found = tuple(Day(day, tuple(some)) for day, some in groupby(lines, key=lambda line: line.day))
    return Timeline(found, shown[-1] if len(days) > len(shown) else None)


def lines_of(
    project: Project, *, kind: str = "", first: date | None = None, last: date | None = None
) -> list[Line]:
    """Return the lines from one day to another, newest day first, each in its order. Thirteen queries."""
    lines = sorted(_lines(project, kind, first, last), key=_in_its_day)
    return sorted(lines, key=lambda line: line.day, reverse=True)


def _in_its_day(line: Line) -> tuple[bool, float]:
    """Sort what has no hour first."""
    has_hour = isinstance(line.at, datetime)
    return has_hour, line.at.timestamp() if isinstance(line.at, datetime) else 0.0


def _lines(project: Project, kind: str, first: date | None, last: date | None) -> Iterator[Line]:
    for source in SOURCES:
        if kind in ("", source.kind):
            rows = source.with_day(project)
            if first and last:
                rows = rows.filter(day__range=(first, last))
            yield from (source.line(project, row) for row in rows.order_by("pk"))
    if kind in ("", KIND):
        yield from reading_lines(project, first, last)


def _days(project: Project, kind: str, before: date | None) -> Sequence[date]:
    """Return the next days with something, and one more. One query."""
    sets = [source.with_day(project) for source in SOURCES if kind in ("", source.kind)]
    if kind in ("", KIND):
        sets.append(readings_with_day(project))
    wanted = [rows.filter(day__lt=before) if before else rows for rows in sets]
    first, *others = (rows.values_list("day", flat=True) for rows in wanted)
    together = first.union(*others) if others else first.distinct()
    return list(together.order_by("-day")[: DAYS_A_PAGE + 1])
