"""Which options a revision leaves open, as the risk list asks."""

from __future__ import annotations

from datetime import UTC, datetime

from logbook.common import clock
from logbook.planning.queries.options_open import options_left_open
from logbook.projects.commands import decide_option, leave_option_open
from tests.boards.choices_of_tern import add_mode
from tests.builders import Bench


def test_a_drawn_option_left_open_on_purpose_is_open_until_it_is_decided(bench: Bench) -> None:
    with clock.standing_at(datetime(2020, 1, 1, tzinfo=UTC)):
        option = add_mode(bench)
    assert options_left_open(bench.revision, None) == ()
    with clock.standing_at(datetime(2021, 1, 1, tzinfo=UTC)):
        leave_option_open(actor=bench.actor, revision=bench.revision, option=option, because="no buoy yet")
    assert options_left_open(bench.revision, None) == (option,)
    with clock.standing_at(datetime(2022, 1, 1, tzinfo=UTC)):
        decide_option(actor=bench.actor, revision=bench.revision, option=option, position=None, because="x")
    assert options_left_open(bench.revision, None) == ()
    assert options_left_open(bench.revision, datetime(2021, 6, 1, tzinfo=UTC)) == (option,)


def test_an_option_neither_drawn_nor_decided_is_open(bench: Bench) -> None:
    option = add_mode(bench, drawn=None)
    assert options_left_open(bench.revision, None) == (option,)
