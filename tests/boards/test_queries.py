"""How a board was configured at any minute of its life."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from logbook.boards.commands import end_rework, store_option_setting, store_rework
from logbook.boards.queries import Stretch, board_named, board_of, board_timelines, differences_of
from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.projects.commands import add_option, set_designed_position
from tests.builders import Bench, build_bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)
MOMENT = timedelta(microseconds=1)


@pytest.mark.parametrize(
    ("at", "holds"),
    [(NOON - MOMENT, False), (NOON, True), (NOON + HOUR - MOMENT, True), (NOON + HOUR, False)],
    ids=["before", "first", "last but one", "last"],
)
def test_the_first_minute_belongs_to_a_stretch_the_last_does_not(at: datetime, holds: bool) -> None:
    assert Stretch(NOON, NOON + HOUR, "").holds_at(at) is holds


def test_a_stretch_without_end_still_holds() -> None:
    assert Stretch(NOON, None, "").holds_at(NOON + 10_000 * HOUR)


def changed_board(bench: Bench) -> None:
    rework = store_rework(
        actor=bench.actor, board=bench.board, key="RW-1", kind="part swap", intent="repair", what="R5",
        subsystems=[bench.subsystem], in_force_from=NOON,
    )  # fmt: skip
    end_rework(actor=bench.actor, rework=rework, at=NOON + HOUR)
    option = add_option(
        actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP1", name="j",
        positions=[("in", ""), ("out", "")],
    )  # fmt: skip
    into, out = option.positions.order_by("name")
    set_designed_position(actor=bench.actor, revision=bench.revision, option=option, position=into)
    for position, hours in [(into, 0), (out, 2), (into, 3)]:
        store_option_setting(
            actor=bench.actor, board=bench.board, option=option, position=position,
            in_force_from=NOON + hours * HOUR,
        )  # fmt: skip


@pytest.mark.parametrize(
    ("hours", "says"),
    [
        (-1, ""),
        (0, "RW-1 (repair) in force"),
        (1, ""),
        (2, "JP1 at out, not as designed"),
        (3, ""),
    ],
)
def test_a_time_line_says_why_a_board_was_not_as_designed(bench: Bench, hours: int, says: str) -> None:
    changed_board(bench)
    line = board_timelines([bench.board.pk])[bench.board.pk]
    assert line.departure_at(bench.subsystem.pk, NOON + hours * HOUR) == says


def test_time_lines_cost_the_same_for_any_number_of_boards(
    bench: Bench, django_assert_num_queries: object
) -> None:
    changed_board(bench)
    others = [bench.extra_board(f"1{n:03}").pk for n in range(12)]
    for ids in ([bench.board.pk], [bench.board.pk, *others]):
        with django_assert_num_queries(2):  # type: ignore[operator]
            assert set(board_timelines(ids)) == set(ids)


def test_what_is_over_is_no_difference_today(bench: Bench) -> None:
    changed_board(bench)
    assert differences_of([bench.board]) == {bench.board.pk: ()}


def test_a_board_of_another_project_is_not_there(bench: Bench) -> None:
    other = build_bench("heron")
    secret = other.extra_board("S-77")
    with pytest.raises(NotFoundError):
        board_of(bench.project, secret.serial)
    with pytest.raises(InvalidInputError) as caught:
        board_named(bench.project, secret.serial)
    assert caught.value.problems[0].allowed == "0001"
