"""Where an instrument stands with its calibration, and which readings that touches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import zip_longest
from typing import Any

from django.db.models import Count, Q
from django.utils import timezone

from logbook.accounts.models import User
from logbook.bench.choices import CalibrationResult
from logbook.bench.models import Calibration, Instrument, Measurement

SOON = timedelta(days=30)


@dataclass(frozen=True)
class CalibrationStanding:
    """Where an instrument stands on a day, as a word of its own and as a line."""

    state: str
    next_due: date | None
    says: str


@dataclass(frozen=True)
class FlaggedReadings:
    """How many readings of one project were taken after the due date, by what became of them."""

    project: str
    project_name: str
    overdue: int
    cleared: int
    condemned: int


def calibration_standing(instrument: Instrument, today: date) -> CalibrationStanding:
    """Say where an instrument with its calibrations loaded stands today. No query."""
    calibrations = list(instrument.calibrations.all())
    due = calibrations[-1].next_due if calibrations else None
    if instrument.retired:
        return CalibrationStanding("retired", due, "retired")
    if due is None:
        return CalibrationStanding("not calibrated", None, "no calibration on record")
    if due < today:
        return CalibrationStanding("overdue", due, f"overdue since {due:%Y-%m-%d}")
    if due - today <= SOON:
        return CalibrationStanding("due soon", due, f"due within {SOON.days} days")
    return CalibrationStanding("in calibration", due, "in calibration")


def flagged_readings_of(instrument: Instrument, user: User) -> tuple[FlaggedReadings, ...]:
    """Count the readings taken after a due date, in the projects ``user`` may see. One query.

    A reading belongs to the last calibration before it, exactly as ``CalibrationRecord.flag`` has it.
    """
    spans = _spans(list(instrument.calibrations.all()))
    if not any(spans.values()):
        return ()
    counts = {state: Count("pk", filter=span) for state, span in spans.items() if span}
    rows = (
        Measurement.objects.filter(
            instrument=instrument, withdrawn_at__isnull=True, project__memberships__user=user
        )
        .values("project__slug", "project__name")
        .annotate(**counts)
        .order_by("project__name", "project__slug")
    )
    found = (_flagged(row) for row in rows)
    return tuple(one for one in found if one.overdue or one.cleared or one.condemned)


def _flagged(row: Mapping[str, Any]) -> FlaggedReadings:
    return FlaggedReadings(
        project=row["project__slug"],
        project_name=row["project__name"],
        overdue=row.get("overdue", 0),
        cleared=row.get("cleared", 0),
        condemned=row.get("condemned", 0),
    )


def _spans(calibrations: Sequence[Calibration]) -> dict[str, Q]:
    """Return when readings were overdue and still are, were cleared, or were condemned."""
    spans = {"overdue": Q(), "cleared": Q(), "condemned": Q()}
    for one, following in zip_longest(calibrations, calibrations[1:]):
        span = Q(taken_at__gte=_begin(one.next_due + timedelta(days=1)))
        if following is None:
            spans["overdue"] |= span
            continue
        state = "cleared" if following.result == CalibrationResult.IN_LIMITS else "condemned"
        spans[state] |= span & Q(taken_at__lt=_begin(following.on))
    return spans


def _begin(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))
