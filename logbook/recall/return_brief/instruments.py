"""Readings taken with an instrument past its date, and which instruments are past it now."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, Q
from django.db.models.functions import TruncDate
from django.utils import timezone

from logbook.bench.models import Calibration, Instrument, Measurement
from logbook.bench.queries.calibration import CalibrationRecord, calibration_record
from logbook.common import clock
from logbook.projects.models import Project


@dataclass(frozen=True)
class OverdueReadings:
    """How many readings of the project an instrument took past its date, and what became of the doubt."""

    instrument: Instrument
    count: int
    state: str
    says: str


@dataclass(frozen=True)
class Instruments:
    """The doubtful readings, and the last calibration of each instrument used here that is past its date."""

    doubtful: tuple[OverdueReadings, ...]
    overdue_now: tuple[Calibration, ...]


def instruments_then(project: Project, until: datetime | None) -> Instruments:
    """Return what calibration says of the project's readings. Three queries."""
    today = timezone.localdate(until or clock.now())
    record = calibration_record(until=today)
    used = set(Instrument.objects.filter(bench_sessions__project=project).values_list("pk", flat=True))
    last = [history[-1] for pk, history in record.by_instrument.items() if pk in used]
    return Instruments(
        doubtful=_doubtful(project, record, until, today),
        overdue_now=tuple(one for one in last if one.next_due < today),
    )


def _doubtful(
    project: Project, record: CalibrationRecord, until: datetime | None, today: date
) -> tuple[OverdueReadings, ...]:
    gaps = Q(pk__in=[])
    for instrument_id, begins, ends in _gaps(record, today):
        gaps |= Q(instrument_id=instrument_id, taken_at__date__gt=begins, taken_at__date__lt=ends)
    readings = Measurement.objects.filter(gaps, project=project, withdrawn_at__isnull=True)
    if until is not None:
        readings = readings.filter(taken_at__lte=until)
    days = readings.order_by().annotate(day=TruncDate("taken_at")).values_list("instrument_id", "day")
    found: Counter[tuple[int, str, str]] = Counter()
    for instrument_id, day, count in days.annotate(count=Count("pk")):
        flag = record.flag_on(instrument_id, day)
        if flag is not None:
            found[instrument_id, flag.state, flag.says] += count
    return tuple(
        OverdueReadings(record.by_instrument[pk][0].instrument, count, state, says)
        for (pk, state, says), count in sorted(found.items())
    )


def _gaps(record: CalibrationRecord, today: date) -> Iterator[tuple[int, date, date]]:
    """Yield for each instrument the days between a due date and the next calibration."""
    for pk, history in record.by_instrument.items():
        for before, after in zip(history, [*history[1:], None], strict=True):
            ends = after.on if after else date.max
            if before.next_due < min(ends, today):
                yield pk, before.next_due, ends
