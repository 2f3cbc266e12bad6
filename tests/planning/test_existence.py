"""What was not there on a past day is not told of it."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from logbook.common import clock
from logbook.common.errors import NotThereYetError
from logbook.planning.queries import coverage_of, open_risks_of, readiness_of
from logbook.planning.queries.options_open import options_left_open
from logbook.projects.commands import add_revision
from logbook.projects.models import Revision
from tests.boards.choices_of_tern import add_mode
from tests.builders import Bench

MOMENT = datetime(2021, 5, 1, 12, tzinfo=UTC)
BEFORE, AFTER = date(2021, 4, 30), date(2021, 5, 1)


@pytest.fixture
def child(bench: Bench) -> Revision:
    """Return revision B, recorded at the moment."""
    with clock.standing_at(MOMENT):
        return add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)


@pytest.mark.parametrize("asked", [coverage_of, open_risks_of, readiness_of])
def test_a_revision_says_nothing_of_a_day_before_it(child: Revision, asked: object) -> None:
    with pytest.raises(NotThereYetError, match="revision B was not there on 2021-04-30.* that day: A"):
        asked(child, as_of=BEFORE)  # type: ignore[operator]
    assert asked(child, as_of=AFTER).as_of == AFTER  # type: ignore[operator]


def test_before_the_first_revision_the_project_was_not_recorded(child: Revision) -> None:
    with pytest.raises(NotThereYetError, match="the project was not recorded yet on 1999-12-31"):
        coverage_of(child, as_of=date(1999, 12, 31))


def test_history_entered_later_makes_a_revision_earlier(bench: Bench, child: Revision) -> None:
    bench.target()
    bench.extra_board("0002", child)
    bench.read("3.3", board="0002", taken_at=datetime(2021, 1, 1, tzinfo=UTC))
    assert coverage_of(child, as_of=BEFORE).as_of == BEFORE
    with pytest.raises(NotThereYetError):
        coverage_of(child, as_of=date(2020, 12, 31))


def test_the_day_it_was_drawn_counts(bench: Bench) -> None:
    values = {"drawn_on": date(2020, 1, 2)}
    drawn = add_revision(actor=bench.actor, project=bench.project, label="B", values=values)
    assert coverage_of(drawn, as_of=date(2020, 1, 2)).rows == ()


def test_an_option_recorded_later_was_not_left_open(bench: Bench) -> None:
    with clock.standing_at(MOMENT):
        option = add_mode(bench, drawn=None)
    assert options_left_open(bench.revision, datetime(2021, 4, 30, tzinfo=UTC)) == ()
    assert options_left_open(bench.revision, datetime(2021, 5, 2, tzinfo=UTC)) == (option,)
