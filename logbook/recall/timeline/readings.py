"""Readings on a timeline: how many a board had on a day, and the worst verdict among them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import groupby
from typing import Any
from urllib.parse import urlencode

from django.db.models import Count, QuerySet
from django.db.models.functions import TruncDate

from logbook.bench.models import Measurement
from logbook.core.verdict import Verdict
from logbook.projects.models import Project
from logbook.recall.timeline.line import Line, address

KIND = "measurement"
WORST_FIRST = tuple(str(verdict) for verdict in reversed(Verdict))


def readings_with_day(project: Project) -> QuerySet[Any]:
    """Return the readings that stand, with the day each was taken."""
    rows = Measurement.objects.filter(project=project, withdrawn_at__isnull=True)
    return rows.order_by().annotate(day=TruncDate("taken_at"))


def reading_lines(project: Project, first: date | None, last: date | None) -> Iterator[Line]:
    """Return a line for each board and day. One query."""
    rows = readings_with_day(project)
    if first and last:
        rows = rows.filter(day__range=(first, last))
    counts = rows.values("day", "board__serial", "verdict").annotate(count=Count("pk"))
    ordered = counts.order_by("day", "board__serial", "verdict")
    for (day, serial), group in groupby(ordered, key=lambda row: (row["day"], row["board__serial"])):
        by_verdict = {row["verdict"]: row["count"] for row in group}
        yield _line(project, day, serial, by_verdict)


def _line(project: Project, day: date, serial: str, by_verdict: dict[str, int]) -> Line:
    count = sum(by_verdict.values())
    told = [f"{by_verdict[word]} {word}" for word in WORST_FIRST if word in by_verdict]
    if by_verdict.get(""):
        told.append(f"{by_verdict['']} without a verdict")
    worst = next((word for word in WORST_FIRST if word in by_verdict), "")
    title = f"{count} reading{'' if count == 1 else 's'} on {serial}"
    url = f"{address('measurement-list', project)}?{urlencode({'board': serial})}"
    return Line(KIND, day, title, url, ", ".join(told) if len(told) > 1 else "", verdict=worst)
