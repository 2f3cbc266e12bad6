"""Reworks and option positions make readings count or not, whenever they are recorded."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from logbook.bench.commands import (
    record_option_setting,
    record_rework,
    set_position_by_design,
    undo_rework,
)
from logbook.bench.models import CurrentResult
from logbook.bench.queries.verification import discrepancies_of
from logbook.boards.models import Rework
from logbook.common.errors import InvalidInputError
from logbook.projects.commands import add_option, add_subsystem
from logbook.projects.models import Option
from tests.builders import Bench, build_bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


def rework(bench: Bench, begins: datetime = NOON, intent: str = "repair", key: str = "RW-1") -> Rework:
    return record_rework(
        actor=bench.actor, board=bench.board, key=key, kind="wire link", intent=intent, what="invented",
        subsystems=[bench.subsystem], in_force_from=begins,
    )  # fmt: skip


@pytest.fixture
def option(bench: Bench) -> Option:
    """Return a jumper of the power subsystem."""
    return add_option(
        actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP1", name="jumper",
        positions=[("in", ""), ("out", "")],
    )  # fmt: skip


def why() -> str:
    return CurrentResult.objects.get().not_counted


@pytest.mark.parametrize(
    ("taken_at", "says"),
    [
        (NOON - HOUR, ""),
        (NOON, "RW-1 (repair) in force"),
        (NOON + HOUR, "RW-1 (repair) in force"),
        (NOON + 2 * HOUR, ""),
    ],
    ids=["before", "first minute", "within", "last minute"],
)
def test_a_reading_finds_the_rework_of_its_minute(bench: Bench, taken_at: datetime, says: str) -> None:
    bench.target()
    undo_rework(actor=bench.actor, rework=rework(bench), at=NOON + 2 * HOUR)
    bench.read("3.3", taken_at=taken_at)
    assert why() == says


def test_a_rework_recorded_later_reaches_back(bench: Bench) -> None:
    bench.target()
    bench.read("3.3", taken_at=NOON + HOUR)
    rework(bench)
    assert why() == "RW-1 (repair) in force"
    assert list(discrepancies_of(bench.project)) == []


def test_undoing_it_earlier_lets_the_reading_count_again(bench: Bench) -> None:
    bench.target()
    bench.read("3.3", taken_at=NOON + HOUR)
    undo_rework(actor=bench.actor, rework=rework(bench), at=NOON + HOUR)
    assert why() == ""


def test_a_rework_to_drawing_changes_nothing(bench: Bench) -> None:
    bench.target()
    bench.read("3.3", taken_at=NOON + HOUR)
    rework(bench, intent="to drawing")
    assert why() == ""


def test_a_rework_touches_only_its_subsystems(bench: Bench) -> None:
    clocks = add_subsystem(actor=bench.actor, project=bench.project, key="CLK", name="c", kind="clocks")
    bench.target(subsystem=clocks)
    bench.read("3.3", taken_at=NOON + HOUR)
    rework(bench)
    assert why() == ""


def test_a_second_rework_still_holds_when_the_first_is_undone(bench: Bench) -> None:
    bench.target()
    bench.read("3.3", taken_at=NOON + HOUR)
    first = rework(bench)
    rework(bench, intent="modification", key="RW-2")
    undo_rework(actor=bench.actor, rework=first, at=NOON + HOUR)
    assert why() == "RW-2 (modification) in force"


def test_a_rework_names_subsystems_of_its_own_project(bench: Bench) -> None:
    other = build_bench("heron")
    with pytest.raises(InvalidInputError, match="another project"):
        record_rework(
            actor=bench.actor, board=bench.board, key="RW-1", kind="wire link", intent="repair", what="w",
            subsystems=[other.subsystem],
        )  # fmt: skip
    assert not Rework.objects.exists()


def test_an_option_off_its_designed_position_does_not_count(bench: Bench, option: Option) -> None:
    bench.target()
    bench.read("3.3", taken_at=NOON + HOUR)
    into, out = option.positions.order_by("name")
    set_position_by_design(actor=bench.actor, revision=bench.revision, option=option, position=into)
    record_option_setting(
        actor=bench.actor, board=bench.board, option=option, position=out, in_force_from=NOON
    )
    assert why() == "JP1 at out, not as designed"
    set_position_by_design(actor=bench.actor, revision=bench.revision, option=option, position=out)
    assert why() == ""
    assert list(discrepancies_of(bench.project)) == []


def test_without_a_designed_position_every_position_counts(bench: Bench, option: Option) -> None:
    bench.target()
    bench.read("3.3", taken_at=NOON + HOUR)
    record_option_setting(
        actor=bench.actor, board=bench.board, option=option, position=None, in_force_from=NOON
    )
    assert why() == ""


def test_not_fitted_is_a_position_like_any_other(bench: Bench, option: Option) -> None:
    bench.target()
    bench.read("3.3", taken_at=NOON + HOUR)
    position = option.positions.get(name="in")
    set_position_by_design(actor=bench.actor, revision=bench.revision, option=option, position=position)
    record_option_setting(
        actor=bench.actor, board=bench.board, option=option, position=None, in_force_from=NOON
    )
    assert why() == "JP1 not fitted, though by design it is"


def test_a_position_belongs_to_its_option(bench: Bench, option: Option) -> None:
    other = add_option(
        actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP2", name="other",
        positions=[("on", "")],
    )  # fmt: skip
    for record in (
        lambda: record_option_setting(
            actor=bench.actor, board=bench.board, option=option, position=other.positions.get()
        ),
        lambda: set_position_by_design(
            actor=bench.actor, revision=bench.revision, option=option, position=other.positions.get()
        ),
    ):
        with pytest.raises(InvalidInputError, match="has no position 'on'"):
            record()
