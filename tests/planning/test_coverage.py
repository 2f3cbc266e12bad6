"""Every state reached from real readings, and a past day as coverage said it then."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from logbook.bench.commands import (
    ReadingInput,
    issue_target,
    record_option_setting,
    record_readings,
    record_rework,
    set_position_by_design,
    undo_rework,
    withdraw_measurement,
)
from logbook.bench.commands.targets import Asked
from logbook.common import clock
from logbook.common.errors import InvalidInputError
from logbook.planning.queries import Coverage, CoverageRow, coverage_of
from logbook.projects.commands import add_option, add_revision
from tests.builders import Bench

LIMITS = "3.234..3.366 V"
NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)
DAY = timedelta(days=1)


def row(bench: Bench, key: str = "RLD-2") -> CoverageRow:
    return next(one for one in coverage_of(bench.revision).rows if one.target.key == key)


def state(bench: Bench, key: str = "RLD-2") -> str:
    return row(bench, key).state


def repaired(bench: Bench) -> None:
    record_rework(
        actor=bench.actor, board=bench.board, key="RW-1", kind="part swap", intent="repair", what="R5",
        subsystems=[bench.subsystem], in_force_from=timezone.now() - 30 * DAY,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("value", "given", "word"),
    [
        ("3.3", {}, "verified"),
        ("3.366", {}, "verified"),
        ("3.4", {}, "failing"),
        ("3.37", {"expanded_uncertainty": "10 mV"}, "failing"),
        ("3.36", {"expanded_uncertainty": "10 mV"}, "marginal"),
        ("3.356", {"expanded_uncertainty": "10 mV"}, "verified"),
        ("3.3", {"expanded_uncertainty": "0.1"}, "marginal"),
        ("not working", {}, "failing"),
        ("seen working", {}, "seen working"),
        ("inconclusive", {}, "seen working"),
    ],
    ids=str,
)
def test_one_reading_decides_the_state(bench: Bench, value: str, given: dict[str, Any], word: str) -> None:
    bench.target()
    bench.read(value, **given)
    assert state(bench) == word


def test_a_reading_nobody_could_pass_is_called_undecidable(bench: Bench) -> None:
    bench.target()
    bench.read("3.3", expanded_uncertainty="0.1")
    point = row(bench).boards[0].points[0]
    assert point.undecidable
    assert point.verdict == "conditional pass"


def test_two_passes_that_predict_a_bad_next_board_are_marginal(bench: Bench) -> None:
    """n = 2 at both limits: the next board is out with far more than 20 % (design value of the setting)."""
    bench.target()
    bench.extra_board("0002")
    bench.read("3.235")
    bench.read("3.365", board="0002")
    assert state(bench) == "marginal"
    assert "next board" in row(bench).reason


def test_it_is_verified_on_as_many_boards_as_asked(bench: Bench) -> None:
    bench.target(boards_needed=2)
    bench.extra_board("0002")
    bench.read("3.3")
    assert (state(bench), row(bench).reason) == ("partly verified", "passes on 1 of 2")
    bench.read("3.3", board="0002")
    assert state(bench) == "verified"


def test_missing_points_leave_it_partly_verified(bench: Bench) -> None:
    bench.target(points=("CH1", "CH2"))
    bench.read("3.3", point="CH1")
    assert row(bench).reason == "passes on 0 of 1; CH2 not read on 0001"
    bench.read("3.3", point="CH2")
    assert state(bench) == "verified"


def test_the_worst_point_is_the_word_of_a_board(bench: Bench) -> None:
    bench.target(points=("CH1", "CH2"))
    bench.read("3.3", point="CH1")
    bench.read("3.9", point="CH2")
    board = row(bench).boards[0]
    assert (board.verdict, board.value, board.unit) == ("fail", "3.9", "V")


def test_a_reason_writes_the_unit_once(bench: Bench) -> None:
    bench.target()
    bench.read("9 V")
    assert row(bench).reason == "0001: 9 V fail (limits 3.234..3.366 V)"


def test_the_latest_reading_on_the_boards_time_line_counts(bench: Bench) -> None:
    bench.target()
    bench.read("3.3", taken_at=NOON)
    bench.read("3.9", taken_at=NOON - DAY)
    assert state(bench) == "verified"


def test_only_readings_on_a_repaired_board_are_stale(bench: Bench) -> None:
    bench.target()
    repaired(bench)
    bench.read("3.3")
    assert state(bench) == "stale"
    assert "RW-1 (repair) in force" in row(bench).reason


def test_a_failing_reading_on_a_repaired_board_does_not_fail_the_design(bench: Bench) -> None:
    bench.target()
    repaired(bench)
    bench.read("3.9")
    assert state(bench) == "stale"


def test_only_readings_with_an_option_elsewhere_are_stale(bench: Bench) -> None:
    bench.target()
    option = add_option(
        actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP1", name="j",
        positions=[("in", ""), ("out", "")],
    )  # fmt: skip
    into, out = option.positions.order_by("name")
    set_position_by_design(actor=bench.actor, revision=bench.revision, option=option, position=into)
    record_option_setting(actor=bench.actor, board=bench.board, option=option, position=out)
    bench.read("3.3")
    assert (state(bench), "JP1 at out" in row(bench).reason) == ("stale", True)


def test_a_reading_behind_a_failing_prerequisite_is_stale(bench: Bench) -> None:
    bench.target("T1")
    bench.target("T2", needs=["T1"])
    bench.target("T3", needs=["T2"])
    bench.read("9", "T1")
    bench.read("3.3", "T3")
    assert (state(bench, "T3"), "taken while T1 failed here" in row(bench, "T3").reason) == ("stale", True)


def test_readings_under_an_issue_that_asked_something_else_are_stale(bench: Bench) -> None:
    target = bench.target()
    bench.read("3.3")
    issue_target(
        actor=bench.actor, target=target, asked=Asked(limits=LIMITS, conditions="warm"), reason="heat"
    )
    assert (state(bench), "issue 2" in row(bench).reason) == ("stale", True)


@pytest.mark.parametrize("value", [None, "9"], ids=["never tried", "failing"])
def test_it_is_blocked_by_a_prerequisite(bench: Bench, value: str | None) -> None:
    bench.target("T1")
    bench.target("T2", needs=["T1"])
    bench.target("T3", needs=["T2"])
    if value:
        bench.read(value, "T1")
    assert [state(bench, key) for key in ("T2", "T3")] == ["blocked", "blocked"]
    bench.read("3.3", "T1")
    assert [state(bench, key) for key in ("T2", "T3")] == ["never tried", "blocked"]


def test_without_readings_it_was_never_tried(bench: Bench) -> None:
    bench.target()
    assert state(bench) == "never tried"


def test_a_target_of_an_unfitted_option_is_not_applicable(bench: Bench) -> None:
    option = add_option(
        actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP1", name="j",
        positions=[("in", "")],
    )  # fmt: skip
    bench.target(values={"needs_option": option})
    set_position_by_design(actor=bench.actor, revision=bench.revision, option=option, position=None)
    assert (state(bench), row(bench).reason) == (
        "not applicable",
        "option JP1 is not fitted on this revision",
    )
    position = option.positions.get()
    set_position_by_design(actor=bench.actor, revision=bench.revision, option=option, position=position)
    assert state(bench) == "never tried"


@pytest.mark.parametrize(
    ("kind", "limits", "value", "word"),
    [
        ("yes/no", "yes", "yes", "verified"),
        ("yes/no", "", "yes", "verified"),
        ("yes/no", "", "no", "failing"),
        ("yes/no", "no", "yes", "failing"),
        ("count", "0 errors", "0 of 1e7", "verified"),
        ("count", "0 errors", "1 of 1e7", "failing"),
        ("seen working", "", "yes", "seen working"),
        ("seen working", "", "no", "failing"),
    ],
)
def test_every_kind_of_target_reaches_its_state(
    bench: Bench, kind: str, limits: str, value: str, word: str
) -> None:
    bench.target(limits=limits, kind=kind)
    bench.read(value)
    assert state(bench) == word


def test_a_withdrawn_reading_is_as_if_never_taken(bench: Bench) -> None:
    bench.target()
    withdraw_measurement(actor=bench.actor, measurement=bench.read("3.9"), because="slipped")
    assert state(bench) == "never tried"


def test_readings_of_another_revision_do_not_count_here(bench: Bench) -> None:
    bench.target()
    bench.read("3.3")
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    assert [one.state for one in coverage_of(later).rows] == ["never tried"]


def test_the_counts_add_up_to_the_targets(bench: Bench) -> None:
    for number in range(5):
        bench.target(f"T{number}")
    bench.read("3.3", "T1")
    bench.read("9", "T2")
    assert coverage_of(bench.revision).counts == {"never tried": 3, "verified": 1, "failing": 1}


def words(coverage: Coverage) -> list[tuple[Any, ...]]:
    return [(one.target.key, one.issue.number, one.state, one.reason, one.boards) for one in coverage.rows]


def life(bench: Bench) -> list[Callable[[], object]]:
    """Return what happens on ten days, each deed using what was done before.

    Nothing undoes that a prerequisite failed: a past day asks today's failing spans (see DEVELOPERS.md).
    """
    target = bench.target("T1", LIMITS)
    bench.target("T2", "<= 30 mV", needs=["T1"])
    bench.target("T3", LIMITS, points=("CH1", "CH2"), boards_needed=2)
    bench.extra_board("0002")
    rework: dict[str, Any] = {}

    def repair() -> None:
        rework["RW"] = record_rework(
            actor=bench.actor, board=bench.board, key="RW-1", kind="part swap", intent="repair",
            what="R5", subsystems=[bench.subsystem],
        )  # fmt: skip

    return [
        lambda: bench.read("3.36", "T1", expanded_uncertainty="10 mV"),
        lambda: bench.read("12 mV", "T2"),
        lambda: bench.read("9", "T1", board="0002"),
        lambda: bench.read("12 mV", "T2", board="0002"),
        lambda: bench.read("3.3", "T3", point="CH1"),
        repair,
        lambda: bench.read("3.3", "T1"),
        lambda: issue_target(actor=bench.actor, target=target, asked=Asked(limits="3.3..3.4 V"), reason="r"),
        lambda: undo_rework(actor=bench.actor, rework=rework["RW"]),
        lambda: bench.read("3.3", "T3", point="CH2"),
    ]


def test_a_past_day_is_what_coverage_said_then(bench: Bench) -> None:
    with clock.standing_at(NOON - DAY):
        deeds = life(bench)
    said = []
    for number, deed in enumerate(deeds):
        with clock.standing_at(NOON + number * DAY):
            deed()
            said.append(words(coverage_of(bench.revision)))
    days = [(NOON + number * DAY).date() for number in range(len(deeds))]
    for day, then in zip(days, said, strict=True):
        assert words(coverage_of(bench.revision, as_of=day)) == then, day


@pytest.fixture
def dated(bench: Bench) -> Bench:
    """Return the bench with its one target issued on 1 March 2024 and a pass read on that day."""
    with clock.standing_at(NOON):
        bench.target()
        bench.read("3.3")
    return bench


def state_on(bench: Bench, days: int, key: str = "RLD-2") -> str:
    coverage = coverage_of(bench.revision, as_of=(NOON + days * DAY).date())
    return next((one.state for one in coverage.rows if one.target.key == key), "not there")


def test_a_target_is_not_there_before_its_first_issue(dated: Bench) -> None:
    assert [state_on(dated, days) for days in (-1, 0)] == ["not there", "verified"]


def test_a_reading_withdrawn_later_still_counts_on_the_past_day(dated: Bench) -> None:
    with clock.standing_at(NOON + 5 * DAY):
        withdraw_measurement(
            actor=dated.actor, measurement=dated.project.measurements.get(), because="slipped"
        )
    assert [state_on(dated, days) for days in (4, 5)] == ["verified", "never tried"]


def test_an_issue_recorded_later_does_not_judge_the_past_day(dated: Bench) -> None:
    with clock.standing_at(NOON + 5 * DAY):
        issue_target(
            actor=dated.actor, target=dated.project.targets.get(), asked=Asked(limits="1..2 V"), reason="r"
        )
    assert [state_on(dated, days) for days in (4, 5)] == ["verified", "failing"]


def test_a_reading_entered_later_counts_on_its_own_day_and_is_counted(dated: Bench) -> None:
    with clock.standing_at(NOON + 9 * DAY):
        dated.read("9", taken_at=NOON + 2 * DAY)
    assert [state_on(dated, days) for days in (1, 2)] == ["verified", "failing"]
    later = [
        coverage_of(dated.revision, as_of=(NOON + days * DAY).date()).entered_later for days in (1, 2, 9)
    ]
    assert later == [0, 1, 0]


def test_a_reading_judged_by_a_later_issue_counts_on_the_day_it_was_taken(dated: Bench) -> None:
    """It was entered under issue 3, which the past day does not know; issue 2 did not outdate it."""
    target = dated.project.targets.get()
    for days, conditions in [(1, "warm"), (8, "hot")]:
        with clock.standing_at(NOON + days * DAY):
            issue_target(
                actor=dated.actor,
                target=target,
                asked=Asked(limits=LIMITS, conditions=conditions),
                reason="r",
            )
    with clock.standing_at(NOON + 9 * DAY):
        dated.read("3.31", taken_at=NOON + 2 * DAY)
    assert [state_on(dated, days) for days in (1, 2, 7)] == ["stale", "verified", "verified"]


def test_a_rework_entered_later_with_an_earlier_date_reaches_back(dated: Bench) -> None:
    record_rework(
        actor=dated.actor, board=dated.board, key="RW-1", kind="part swap", intent="repair", what="R5",
        subsystems=[dated.subsystem], in_force_from=NOON - DAY,
    )  # fmt: skip
    assert state_on(dated, 0) == "stale"


def test_a_day_ends_at_its_last_moment(dated: Bench) -> None:
    with clock.standing_at(NOON + 20 * DAY):
        dated.read("9", taken_at=datetime(2024, 3, 5, 23, 59, 59, 999_999, tzinfo=UTC))
    assert [state_on(dated, days) for days in (3, 4)] == ["verified", "failing"]


def test_a_future_day_is_refused(bench: Bench) -> None:
    with pytest.raises(InvalidInputError) as caught:
        coverage_of(bench.revision, as_of=timezone.localdate() + DAY)
    assert caught.value.problems[0].code == "future"


def test_today_from_the_history_is_today_as_kept(dated: Bench) -> None:
    dated.read("3.9")
    assert words(coverage_of(dated.revision, as_of=timezone.localdate())) == words(
        coverage_of(dated.revision)
    )


@pytest.mark.parametrize("past", [False, True], ids=["today", "a past day"])
def test_its_cost_does_not_grow_with_targets_and_readings(
    bench: Bench, past: bool, django_assert_max_num_queries: Any
) -> None:
    day = timezone.localdate() if past else None
    for size in (2, 25):
        for number in range(size):
            bench.target(f"T{size}-{number}")
        record_readings(
            actor=bench.actor,
            items=[
                ReadingInput("tern", "0001", "3.3", f"T{size}-{n % size}", key=f"{size}/{n}")
                for n in range(size * 4)
            ],
        )
        with django_assert_max_num_queries(24 if past else 10):
            coverage_of(bench.revision, as_of=day)
