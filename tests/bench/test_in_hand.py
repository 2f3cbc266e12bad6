"""What to know of the board in hand."""

from __future__ import annotations

from datetime import UTC, datetime

from logbook.bench.commands import (
    open_bench_session,
    record_option_setting,
    record_rework,
    set_position_by_design,
    undo_rework,
)
from logbook.bench.queries.in_hand import boards_on_bench, current_results_of, in_hand, last_read_on
from logbook.boards.commands import change_board
from logbook.boards.models import Rework
from logbook.common import clock
from logbook.projects.commands import add_option
from logbook.projects.models import Option
from tests.builders import Bench


def reworked(bench: Bench) -> Rework:
    return record_rework(
        actor=bench.actor,
        board=bench.board,
        key="RW-1",
        kind="wire link",
        intent="repair",
        what="wire from TP3 to U5",
        subsystems=[bench.subsystem],
        in_force_from=datetime(2024, 1, 1, tzinfo=UTC),
    )


def option_with_two_positions(bench: Bench) -> Option:
    positions = [("R88", "levels of the standard"), ("R89", "logic levels")]
    return add_option(
        actor=bench.actor,
        project=bench.project,
        subsystem=bench.subsystem,
        key="J7-mode",
        name="J7 mode",
        positions=positions,
    )


def test_reworks_differ_until_they_are_undone(bench: Bench) -> None:
    rework = reworked(bench)
    assert in_hand(bench.board).reworks == (rework,)
    undo_rework(actor=bench.actor, rework=rework)
    assert not in_hand(bench.board).differs


def test_an_option_differs_only_where_it_is_off_its_designed_position(bench: Bench) -> None:
    option = option_with_two_positions(bench)
    first, second = option.positions.all()
    set_position_by_design(actor=bench.actor, revision=bench.revision, option=option, position=first)
    record_option_setting(
        actor=bench.actor,
        board=bench.board,
        option=option,
        position=first,
        in_force_from=datetime(2024, 1, 1, tzinfo=UTC),
    )
    assert not in_hand(bench.board).differs
    record_option_setting(actor=bench.actor, board=bench.board, option=option, position=second)
    assert [one.position for one in in_hand(bench.board).options] == [second]


def test_a_board_was_powered_once_a_powered_check_was_read(bench: Bench) -> None:
    bench.target("U-1", ">= 1 kohm", values={"needs_power": False})
    bench.target("RLD-2")
    bench.read("2.2 kohm", "U-1")
    assert not in_hand(bench.board).was_powered
    bench.read("3.3")
    assert in_hand(bench.board).was_powered


def test_the_open_sitting_comes_before_the_last_one(bench: Bench) -> None:
    earlier = open_bench_session(
        actor=bench.actor,
        project=bench.project,
        title="open",
        boards=[bench.board],
        started_at=datetime(2024, 1, 1, tzinfo=UTC),
    )
    open_bench_session(
        actor=bench.actor,
        project=bench.project,
        title="closed",
        boards=[bench.board],
        started_at=datetime(2024, 2, 1, tzinfo=UTC),
        values={"ended_at": clock.now()},
    )
    assert in_hand(bench.board).session == earlier


def test_boards_in_use_come_before_lent_ones(bench: Bench) -> None:
    change_board(actor=bench.actor, board=bench.board, values={"state": "lent"})
    bench.extra_board("0002")
    assert [board.serial for board in boards_on_bench(bench.project)] == ["0002", "0001"]


def test_it_knows_when_each_board_was_last_read(bench: Bench) -> None:
    target = bench.target()
    moment = datetime(2024, 5, 2, 10, 22, tzinfo=UTC)
    bench.read("3.3", taken_at=moment)
    assert last_read_on(bench.project) == {bench.board.pk: moment}
    assert [one.board for one in current_results_of(target)] == [bench.board]
