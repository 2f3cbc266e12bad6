"""Readings taken after an instrument was due, and what the next calibration makes of them."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.utils import timezone

from logbook.bench.commands import add_instrument, record_calibration
from logbook.bench.models import CurrentResult, Instrument, Measurement
from logbook.bench.queries.calibration import CalibrationFlag, calibration_record
from logbook.bench.queries.verification import discrepancies_of
from logbook.common import clock
from logbook.common.errors import InvalidInputError
from tests.builders import Bench

DONE, DUE = date(2024, 1, 10), date(2024, 2, 10)


@pytest.fixture
def meter(bench: Bench) -> Instrument:
    """Return a meter calibrated on ``DONE`` and due on ``DUE``."""
    found = add_instrument(actor=bench.actor, name="M-1", kind="meter")
    calibrate(bench, found, "K1", DONE, DUE)
    return found


def calibrate(
    bench: Bench, meter: Instrument, number: str, on: date, due: date, result: str = "in limits"
) -> None:
    record_calibration(actor=bench.actor, instrument=meter, number=number, on=on, result=result, next_due=due)


def flag_at(meter: Instrument, moment: datetime) -> CalibrationFlag | None:
    return calibration_record([meter.pk]).flag(meter.pk, moment)


def state_at(meter: Instrument, moment: datetime) -> str:
    flag = flag_at(meter, moment)
    return flag.state if flag else ""


def at(day: date, hour: int = 12) -> datetime:
    return datetime.combine(day, time(hour), UTC)


@pytest.mark.parametrize(
    ("moment", "state"),
    [
        (at(DONE - timedelta(days=1)), ""),
        (at(DONE, 0), ""),
        (at(DUE, 23), ""),
        (datetime.combine(DUE, time.max, UTC), ""),
        (at(DUE + timedelta(days=1), 0), "overdue"),
        (at(DUE + timedelta(days=400)), "overdue"),
    ],
    ids=[
        "before the first",
        "the day itself",
        "the due day",
        "its last moment",
        "the day after",
        "a year on",
    ],
)
def test_the_due_day_still_belongs_to_the_calibration(
    meter: Instrument, moment: datetime, state: str
) -> None:
    assert state_at(meter, moment) == state


@pytest.mark.parametrize(
    ("result", "state"), [("in limits", "cleared"), ("out of limits", "condemned")], ids=str
)
def test_the_next_calibration_clears_or_condemns(
    bench: Bench, meter: Instrument, result: str, state: str
) -> None:
    calibrate(bench, meter, "K2", DUE + timedelta(days=20), DUE + timedelta(days=400), result)
    flag = flag_at(meter, at(DUE + timedelta(days=5)))
    assert flag is not None
    assert (flag.state, flag.instrument, flag.due) == (state, "M-1", DUE)
    assert "K2" in flag.says


def test_a_calibration_before_the_due_day_leaves_nothing_to_flag(bench: Bench, meter: Instrument) -> None:
    calibrate(bench, meter, "K2", DUE - timedelta(days=5), DUE + timedelta(days=400), "out of limits")
    assert state_at(meter, at(DUE - timedelta(days=8))) == ""


def test_the_next_calibration_decides_not_the_one_after(bench: Bench, meter: Instrument) -> None:
    calibrate(bench, meter, "K2", DUE + timedelta(days=20), DUE + timedelta(days=50), "in limits")
    calibrate(bench, meter, "K3", DUE + timedelta(days=90), DUE + timedelta(days=400), "out of limits")
    states = [state_at(meter, at(DUE + timedelta(days=days))) for days in (5, 30, 60, 100)]
    assert states == ["cleared", "", "condemned", ""]


def test_a_reading_on_the_day_of_the_next_calibration_is_not_flagged(bench: Bench, meter: Instrument) -> None:
    calibrate(bench, meter, "K2", DUE + timedelta(days=20), DUE + timedelta(days=400), "out of limits")
    assert state_at(meter, at(DUE + timedelta(days=20), 1)) == ""


def test_an_instrument_never_calibrated_is_not_flagged(bench: Bench) -> None:
    other = add_instrument(actor=bench.actor, name="M-2", kind="meter")
    assert state_at(other, at(DUE)) == ""
    assert calibration_record().flag(None, at(DUE)) is None


def test_a_condemned_reading_stops_counting_and_a_cleared_one_goes_on(
    bench: Bench, meter: Instrument
) -> None:
    bench.target()
    bench.read("3.3", instrument="M-1", taken_at=at(DUE + timedelta(days=3)))
    assert CurrentResult.objects.get().designed_verdict == "pass"
    calibrate(bench, meter, "K2", DUE + timedelta(days=20), DUE + timedelta(days=400), "out of limits")
    row = CurrentResult.objects.get()
    assert (row.designed, row.not_counted) == (None, "M-1 was overdue and found out of limits (K2)")
    assert (row.found_verdict, Measurement.objects.get().verdict) == ("pass", "pass")
    assert list(discrepancies_of(bench.project)) == []


def test_an_older_counting_reading_takes_over_from_a_condemned_one(bench: Bench, meter: Instrument) -> None:
    bench.target()
    older = bench.read("3.3", taken_at=at(DONE))
    bench.read("3.9", instrument="M-1", taken_at=at(DUE + timedelta(days=3)))
    calibrate(bench, meter, "K2", DUE + timedelta(days=20), DUE + timedelta(days=400), "out of limits")
    assert CurrentResult.objects.get().designed == older


def test_days_end_in_the_zone_of_the_site(bench: Bench, meter: Instrument) -> None:
    """In UTC+13 the day after the due day has begun at 11:00 UTC."""
    with timezone.override("Pacific/Tongatapu"):
        assert state_at(meter, at(DUE, 10)) == ""
        assert state_at(meter, at(DUE, 11)) == "overdue"


def test_a_calibration_of_today_is_recorded_where_the_day_began_earlier(
    bench: Bench, meter: Instrument
) -> None:
    with timezone.override("Pacific/Tongatapu"), clock.standing_at(at(date(2024, 3, 1), 20)):
        calibrate(bench, meter, "K2", date(2024, 3, 2), date(2025, 3, 2))
    assert meter.calibrations.count() == 2


def test_a_calibration_of_tomorrow_is_refused(bench: Bench, meter: Instrument) -> None:
    tomorrow = timezone.localdate() + timedelta(days=1)
    with pytest.raises(InvalidInputError, match="future"):
        calibrate(bench, meter, "K2", tomorrow, tomorrow + timedelta(days=365))


@pytest.mark.parametrize("days", [0, -1])
def test_the_next_is_due_after_this_one(bench: Bench, meter: Instrument, days: int) -> None:
    with pytest.raises(InvalidInputError, match="due after"):
        calibrate(bench, meter, "K2", DUE, DUE + timedelta(days=days))


@pytest.mark.parametrize(("number", "result"), [("K1", "in limits"), ("", "in limits"), ("K2", "fine")])
def test_a_calibration_has_its_own_number_and_a_known_result(
    bench: Bench, meter: Instrument, number: str, result: str
) -> None:
    with pytest.raises(InvalidInputError):
        calibrate(bench, meter, number, DUE, DUE + timedelta(days=9), result)
