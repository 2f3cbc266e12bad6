"""Options decided for a revision, or left open on purpose."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from logbook.common import clock
from logbook.common.errors import InvalidInputError
from logbook.projects.commands import add_revision, decide_option, leave_option_open
from logbook.projects.models import Option, Revision
from logbook.projects.queries import OptionStanding, options_of, standings_of
from tests.boards.choices_of_tern import add_mode
from tests.builders import Bench, build_bench


@pytest.fixture
def option(bench: Bench) -> Option:
    """Return an option that is drawn on no revision."""
    return add_mode(bench, drawn=None)


@pytest.fixture
def child(bench: Bench) -> Revision:
    """Return revision B, drawn from A."""
    return add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)


def standing(revision: Revision, until: datetime | None = None) -> OptionStanding:
    (found,) = standings_of(options_of(revision.project), revision, until=until)
    return found


def test_an_option_nobody_decided_nor_drew_is_open(bench: Bench, option: Option) -> None:
    found = standing(bench.revision)
    assert (found.is_open, found.says) == (True, "never decided, and not drawn")


def test_a_decision_closes_it_for_the_revisions_drawn_from_it(
    bench: Bench, option: Option, child: Revision
) -> None:
    first = option.positions.get(name="R88")
    decide_option(actor=bench.actor, revision=bench.revision, option=option, position=first, because="buoy")
    assert (standing(child).is_open, standing(child).says) == (False, "decided on A: R88")


def test_left_open_until_a_revision_it_is_due_there(bench: Bench, option: Option, child: Revision) -> None:
    leave_option_open(
        actor=bench.actor, revision=bench.revision, option=option, because="no buoy yet", until=child
    )
    assert standing(bench.revision).says == "left open until B"
    assert standing(child).says == "left open on A until B, due now"
    assert standing(child).is_open


def test_the_nearest_revision_speaks_and_of_its_decisions_the_newest(
    bench: Bench, option: Option, child: Revision
) -> None:
    leave_option_open(actor=bench.actor, revision=child, option=option, because="later")
    decide_option(actor=bench.actor, revision=child, option=option, position=None, because="saves a part")
    leave_option_open(actor=bench.actor, revision=bench.revision, option=option, because="too late")
    assert standing(child).says == "decided: not fitted"
    assert standing(bench.revision).says == "left open"


def test_a_past_moment_knows_only_what_was_recorded(bench: Bench, option: Option) -> None:
    with clock.standing_at(datetime(2021, 1, 1, tzinfo=UTC)):
        leave_option_open(actor=bench.actor, revision=bench.revision, option=option, because="later")
    with clock.standing_at(datetime(2022, 1, 1, tzinfo=UTC)):
        decide_option(actor=bench.actor, revision=bench.revision, option=option, position=None, because="x")
    assert standing(bench.revision, datetime(2021, 6, 1, tzinfo=UTC)).is_open
    assert not standing(bench.revision, datetime(2022, 6, 1, tzinfo=UTC)).is_open


def test_it_is_left_open_until_a_later_revision_only(bench: Bench, option: Option, child: Revision) -> None:
    with pytest.raises(InvalidInputError, match="not later"):
        leave_option_open(actor=bench.actor, revision=child, option=option, because="x", until=bench.revision)


def test_a_decision_needs_a_reason_and_a_position_of_its_option(bench: Bench, option: Option) -> None:
    with pytest.raises(InvalidInputError, match="because"):
        decide_option(actor=bench.actor, revision=bench.revision, option=option, position=None, because=" ")
    stranger = add_mode(build_bench("heron")).positions.first()
    with pytest.raises(InvalidInputError, match="no position"):
        decide_option(
            actor=bench.actor, revision=bench.revision, option=option, position=stranger, because="x"
        )
