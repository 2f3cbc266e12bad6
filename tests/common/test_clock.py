"""The clock runs, and stands only where a replay lets it stand."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from logbook.common import clock

PAST = datetime(2001, 1, 1, tzinfo=UTC)


def test_it_tells_the_present_moment_in_utc() -> None:
    assert abs(clock.now() - timezone.now()) < timedelta(seconds=5)
    assert clock.now().utcoffset() == timedelta(0)


def test_it_stands_inside_and_runs_again_outside() -> None:
    with clock.standing_at(PAST):
        assert clock.now() == PAST
        with clock.standing_at(PAST + timedelta(days=1)):
            assert clock.now() == PAST + timedelta(days=1)
        assert clock.now() == PAST
    assert clock.now() > PAST


@pytest.mark.parametrize(
    ("moment", "expected"),
    [
        (datetime(1, 1, 1, tzinfo=UTC), False),
        (datetime(1899, 12, 31, 23, 59, tzinfo=UTC), False),
        (datetime(1900, 1, 1, tzinfo=UTC), True),
        (datetime(2199, 12, 31, tzinfo=UTC), True),
        (datetime(2200, 1, 1, tzinfo=UTC), False),
        (datetime.min.replace(tzinfo=timezone.get_fixed_timezone(14 * 60)), False),
        (datetime.max.replace(tzinfo=timezone.get_fixed_timezone(-12 * 60)), False),
    ],
)
def test_a_clock_that_was_never_set_is_told(moment: datetime, expected: bool) -> None:
    assert clock.is_sensible(moment) is expected


def test_it_runs_again_after_an_error() -> None:
    with pytest.raises(RuntimeError), clock.standing_at(PAST):
        raise RuntimeError
    assert clock.now() > PAST


def test_it_does_not_stand_for_another_thread() -> None:
    seen: list[datetime] = []
    with clock.standing_at(PAST):
        thread = threading.Thread(target=lambda: seen.append(clock.now()))
        thread.start()
        thread.join()
    assert seen[0] > PAST
