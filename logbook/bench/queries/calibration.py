"""Whether an instrument was in calibration when it took a reading."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from logbook.bench.choices import CalibrationResult
from logbook.bench.models import Calibration, Measurement


@dataclass(frozen=True)
class CalibrationFlag:
    """A reading taken after the due date: still ``overdue``, ``cleared`` or ``condemned`` since."""

    state: str
    instrument: str
    due: date
    says: str


@dataclass(frozen=True)
class CalibrationRecord:
    """The calibrations of some instruments, oldest first."""

    by_instrument: Mapping[int, Sequence[Calibration]]

    def flag(self, instrument_id: int | None, taken_at: datetime) -> CalibrationFlag | None:
        """Return the flag of a reading; none when in calibration, or when nothing is on record.

        A later calibration found in limits clears a reading taken after the due date, one found out
        of limits condemns it: it no longer counts.
        """
        if instrument_id is None or instrument_id not in self.by_instrument:
            return None
        return self.flag_on(instrument_id, timezone.localdate(taken_at))

    def flag_on(self, instrument_id: int, day: date) -> CalibrationFlag | None:
        """Return the flag of every reading of a day with an instrument on record."""
        history = self.by_instrument[instrument_id]
        before = [one for one in history if one.on <= day]
        if not before or day <= before[-1].next_due:
            return None
        name, due = before[-1].instrument.name, before[-1].next_due
        after = next((one for one in history if one.on > day), None)
        if after is None:
            return CalibrationFlag("overdue", name, due, f"{name} out of calibration since {due:%Y-%m-%d}")
        if after.result == CalibrationResult.IN_LIMITS:
            return CalibrationFlag("cleared", name, due, f"{name} was overdue, cleared by {after.number}")
        says = f"{name} was overdue and found out of limits ({after.number})"
        return CalibrationFlag("condemned", name, due, says)


def calibration_flag(measurement: Measurement) -> CalibrationFlag | None:
    """Return the flag of one reading. One query, none without an instrument."""
    instrument = measurement.instrument_id
    return calibration_record([instrument] if instrument else []).flag(instrument, measurement.taken_at)


def calibration_record(
    instrument_ids: Iterable[int] | None = None, until: date | None = None
) -> CalibrationRecord:
    """Return the calibrations of some instruments, or of all. One query."""
    rows = Calibration.objects.select_related("instrument").order_by("instrument_id", "on", "id")
    if instrument_ids is not None:
        rows = rows.filter(instrument_id__in=list(instrument_ids))
    if until is not None:
        rows = rows.filter(on__lte=until)
    by_instrument: dict[int, list[Calibration]] = defaultdict(list)
    for row in rows:
        by_instrument[row.instrument_id].append(row)
    return CalibrationRecord(dict(by_instrument))
