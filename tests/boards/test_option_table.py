"""Options as designed, as ordered, as built and as found."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from pytest_django import DjangoAssertNumQueries

from logbook.bench.commands import withdraw_measurement
from logbook.boards.commands import store_option_setting
from logbook.boards.queries import OptionRow, configuration_at, option_table
from logbook.projects.commands import decide_option, record_ordered_position
from logbook.projects.models import Option
from tests.boards.choices_of_tern import add_mode
from tests.builders import Bench

CAME = datetime(2024, 10, 14, 18, 0, tzinfo=UTC)


@pytest.fixture
def option(bench: Bench) -> Option:
    """Return an option drawn at R88."""
    return add_mode(bench)


def row(bench: Bench) -> OptionRow:
    (found,) = option_table(bench.revision)
    return found


def found_at(bench: Bench, option: Option, name: str | None, days: int = 0) -> None:
    store_option_setting(
        actor=bench.actor, board=bench.board, option=option,
        position=option.positions.get(name=name) if name else None,
        in_force_from=CAME + timedelta(days=days),
    )  # fmt: skip


def test_a_board_nobody_looked_at_is_said_to_be_so(bench: Bench, option: Option) -> None:
    assert [board.serial for board in row(bench).unseen] == ["0001"]
    assert row(bench).differences == ()


def test_the_first_setting_is_how_it_was_built_and_the_last_how_it_was_found(
    bench: Bench, option: Option
) -> None:
    found_at(bench, option, "R89")
    found_at(bench, option, "R88", days=1)
    (run,) = row(bench).runs
    assert (str(run.built.position), str(run.found.position)) == ("R89", "R88")
    assert run.has_moved
    assert row(bench).differences == ("0001 built R89, designed R88", "0001 found R88, built R89")


def test_what_is_seen_after_readings_is_found_and_not_built(bench: Bench, option: Option) -> None:
    bench.target()
    bench.read("3.30 V", taken_at=CAME)
    found_at(bench, option, "R89", days=1)
    (run,) = row(bench).runs
    assert run.built is None
    assert str(run.found.position) == "R89"
    assert not run.has_moved
    assert row(bench).differences == ("0001 found R89, designed R88",)
    found_at(bench, option, "R88")
    assert row(bench).differences == ("0001 found R89, built R88",)


def test_a_withdrawn_reading_does_not_make_a_board_measured(bench: Bench, option: Option) -> None:
    bench.target()
    reading = bench.read("3.30 V", taken_at=CAME)
    withdraw_measurement(actor=bench.actor, measurement=reading, because="wrong board")
    found_at(bench, option, "R88", days=1)
    assert row(bench).runs[0].built is not None


def test_a_board_is_compared_with_its_order_where_there_is_one(bench: Bench, option: Option) -> None:
    ordered = option.positions.get(name="R89")
    record_ordered_position(actor=bench.actor, revision=bench.revision, option=option, position=ordered)
    found_at(bench, option, None)
    assert row(bench).differences == (
        "ordered R89, designed R88",
        "0001 built not fitted, ordered R89",
    )


def test_a_decision_the_drawing_does_not_follow_yet_is_named(bench: Bench, option: Option) -> None:
    decide_option(
        actor=bench.actor, revision=bench.revision, option=option,
        position=option.positions.get(name="R89"), because="the buoy has a logic port",
    )  # fmt: skip
    assert row(bench).differences == ("decided R89, designed R88",)


def test_the_configuration_of_a_minute_has_what_began_and_had_not_ended(
    bench: Bench, option: Option, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    found_at(bench, option, "R89")
    found_at(bench, option, "R88", days=1)
    with django_assert_num_queries(2):
        then = configuration_at(bench.board, CAME + timedelta(hours=23))
    assert [str(one) for one in then.settings] == ["MODE R89"]
    assert configuration_at(bench.board, CAME - timedelta(minutes=1)).settings == []
    assert [str(one) for one in configuration_at(bench.board, CAME + timedelta(days=1)).settings] == [
        "MODE R88"
    ]


def test_boards_cost_no_query_each(
    bench: Bench, option: Option, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(8):
        found_at(bench, option, "R88", days=number)
        bench.extra_board(f"01{number:02}")
    with django_assert_max_num_queries(11):
        assert len(row(bench).unseen) == 8
