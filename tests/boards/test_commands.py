"""Boards, where they were and how they were changed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from logbook.boards.commands import (
    add_board,
    change_board,
    end_rework,
    record_board_event,
    store_option_setting,
    store_rework,
)
from logbook.boards.models import OptionSetting, Rework
from logbook.common import clock
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.projects.commands import add_option
from logbook.projects.models import Option
from tests.builders import Bench, build_bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


def test_a_new_board_is_at_a_place_from_the_start(bench: Bench) -> None:
    board = add_board(
        actor=bench.actor, project=bench.project, revision=bench.revision, serial="0002",
        location="drawer", at=NOON,
    )  # fmt: skip
    assert list(board.events.values_list("state", "location", "at")) == [("new", "drawer", NOON)]


def test_a_serial_serves_one_board(bench: Bench) -> None:
    with pytest.raises(InvalidInputError):
        bench.extra_board("0001")


def test_a_board_is_built_to_a_revision_of_its_project(bench: Bench) -> None:
    with pytest.raises(InvalidInputError, match="another project"):
        bench.extra_board("0002", build_bench("heron").revision)


def test_moving_a_board_is_an_event(bench: Bench) -> None:
    change_board(actor=bench.actor, board=bench.board, values={"location": "lab", "note": "n"})
    bench.board.refresh_from_db()
    assert (bench.board.location, bench.board.state, bench.board.note) == ("lab", "in use", "n")
    assert bench.board.events.count() == 2


def test_an_event_entered_late_does_not_move_the_board_back(bench: Bench) -> None:
    record_board_event(actor=bench.actor, board=bench.board, state="lent", at=NOON - 24 * HOUR)
    bench.board.refresh_from_db()
    assert bench.board.state == "in use"


def test_of_two_events_at_one_moment_the_later_entry_wins(bench: Bench) -> None:
    with clock.standing_at(datetime(2030, 1, 1, tzinfo=UTC)):
        for state in ("lent", "damaged"):
            record_board_event(actor=bench.actor, board=bench.board, state=state)
    bench.board.refresh_from_db()
    assert bench.board.state == "damaged"


@pytest.mark.parametrize("state", ["", "lost", "IN USE"])
def test_a_state_is_one_of_the_known_words(bench: Bench, state: str) -> None:
    with pytest.raises(InvalidInputError):
        record_board_event(actor=bench.actor, board=bench.board, state=state)


def test_nothing_is_recorded_for_the_future(bench: Bench) -> None:
    with clock.standing_at(NOON), pytest.raises(InvalidInputError, match="future"):
        record_board_event(actor=bench.actor, board=bench.board, state="lent", at=NOON + HOUR)


def rework(bench: Bench, **given: object) -> Rework:
    return store_rework(
        **{
            "actor": bench.actor, "board": bench.board, "key": "RW-1", "kind": "wire link",
            "intent": "repair", "what": "link", "subsystems": [bench.subsystem], "in_force_from": NOON,
        } | given
    )  # fmt: skip


def test_a_rework_is_undone_once(bench: Bench) -> None:
    stored = rework(bench)
    end_rework(actor=bench.actor, rework=stored, at=NOON + HOUR)
    with pytest.raises(ConflictError, match="already undone"):
        end_rework(actor=bench.actor, rework=stored)


def test_an_old_copy_of_a_rework_does_not_move_its_end(bench: Bench) -> None:
    stored = rework(bench)
    copy = Rework.objects.get(pk=stored.pk)
    end_rework(actor=bench.actor, rework=stored, at=NOON + HOUR)
    with pytest.raises(ConflictError):
        end_rework(actor=bench.actor, rework=copy, at=NOON + 2 * HOUR)
    assert Rework.objects.get().in_force_until == NOON + HOUR


@pytest.mark.parametrize("after", [timedelta(0), -HOUR], ids=["at once", "before"])
def test_a_rework_ends_after_it_began(bench: Bench, after: timedelta) -> None:
    with pytest.raises(InvalidInputError, match="after it was done"):
        end_rework(actor=bench.actor, rework=rework(bench), at=NOON + after)


@pytest.mark.parametrize(
    "given",
    [{"subsystems": []}, {"kind": "glue"}, {"intent": "fun"}, {"what": ""}, {"key": "a b"}],
    ids=lambda given: next(iter(given)),
)
def test_a_rework_says_what_and_where(bench: Bench, given: dict[str, object]) -> None:
    with pytest.raises(InvalidInputError):
        rework(bench, **given)
    assert not Rework.objects.exists()


def test_a_rework_key_serves_one_rework_of_a_board(bench: Bench) -> None:
    rework(bench)
    with pytest.raises(InvalidInputError):
        rework(bench)


@pytest.fixture
def option(bench: Bench) -> Option:
    """Return a jumper with positions a, b and c."""
    return add_option(
        actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP1", name="jumper",
        positions=[("a", ""), ("b", ""), ("c", "")],
    )  # fmt: skip


def setting(bench: Bench, option: Option, name: str, hours: int) -> None:
    store_option_setting(
        actor=bench.actor, board=bench.board, option=option, position=option.positions.get(name=name),
        in_force_from=NOON + hours * HOUR,
    )  # fmt: skip


@pytest.mark.parametrize(
    "order", ["abc", "acb", "bac", "bca", "cab", "cba"], ids=lambda order: f"entered {order}"
)
def test_settings_entered_in_any_order_meet_without_gaps(bench: Bench, option: Option, order: str) -> None:
    for name in order:
        setting(bench, option, name, hours=ord(name) - ord("a"))
    rows = OptionSetting.objects.order_by("in_force_from")
    assert [(row.position.name, row.in_force_from, row.in_force_until) for row in rows if row.position] == [
        ("a", NOON, NOON + HOUR),
        ("b", NOON + HOUR, NOON + 2 * HOUR),
        ("c", NOON + 2 * HOUR, None),
    ]


def test_two_settings_at_one_moment_are_a_conflict(bench: Bench, option: Option) -> None:
    setting(bench, option, "a", 0)
    with pytest.raises(ConflictError, match="already has a setting"):
        setting(bench, option, "b", 0)
    assert OptionSetting.objects.get().in_force_until is None


def test_settings_of_another_board_and_option_stay_apart(bench: Bench, option: Option) -> None:
    setting(bench, option, "a", 0)
    store_option_setting(
        actor=bench.actor, board=bench.extra_board("0002"), option=option, position=None,
        in_force_from=NOON + HOUR,
    )  # fmt: skip
    assert not OptionSetting.objects.filter(in_force_until__isnull=False).exists()
