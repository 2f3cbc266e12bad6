"""What is electrically on a connector of one board."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from pytest_django import DjangoAssertNumQueries

from logbook.boards.commands import PathInput, end_rework, store_option_setting, store_rework
from logbook.boards.models import Board
from logbook.boards.queries import ConnectorTruth, connector_truths
from logbook.projects.commands import PinInput, add_option, add_revision, set_pins
from logbook.projects.models import Connector, Option
from tests.boards.choices_of_tern import LOGIC, MARK, add_link, add_mode
from tests.builders import Bench

DAY = datetime(2021, 10, 4, 12, 0, tzinfo=UTC)


@pytest.fixture
def option(bench: Bench) -> Option:
    """Return the option that decides pin 2."""
    return add_mode(bench)


@pytest.fixture
def connector(bench: Bench, option: Option) -> Connector:
    """Return J7."""
    return add_link(bench, option)


def truth(connector: Connector, board: Board, at: datetime | None = None) -> ConnectorTruth:
    (found,) = connector_truths([board], [connector], at=at)
    return found


def found_at(bench: Bench, option: Option, name: str, moment: datetime = DAY) -> None:
    store_option_setting(
        actor=bench.actor, board=bench.board, option=option,
        position=option.positions.get(name=name), in_force_from=moment,
    )  # fmt: skip


def level(found: ConnectorTruth, number: str = "2") -> str:
    return next(one.pin.level for one in found.pins if one.pin.number == number)


def test_where_nobody_looked_the_drawing_speaks_with_a_caution(bench: Bench, connector: Connector) -> None:
    found = truth(connector, bench.board)
    # TIA-232: driver output -5 to -15 V at mark.
    assert level(found) == MARK
    assert found.options[0].says == "MODE at R88 by design, not looked at on this board: TIA-232 levels"
    assert found.cautions == (
        "the legend says 3V3 UART",
        "nobody looked at MODE on 0001: measure before you plug in",
    )
    assert not found.is_as_designed


def test_an_option_off_its_design_overrides_the_pin(
    bench: Bench, connector: Connector, option: Option
) -> None:
    found_at(bench, option, "R89")
    found = truth(connector, bench.board)
    (pin,) = [one for one in found.pins if one.pin.number == "2"]
    assert (pin.pin.level, pin.because, pin.is_as_designed) == (LOGIC, "MODE R89", False)
    assert found.options[0].says == "MODE at R89 since 2021-10-04, not as designed: 3.3 V logic levels"


def test_pins_are_in_the_order_people_count(bench: Bench, connector: Connector) -> None:
    assert [one.pin.number for one in truth(connector, bench.board).pins] == ["1", "2", "10"]


def test_looking_again_does_not_make_a_setting_younger(
    bench: Bench, connector: Connector, option: Option
) -> None:
    found_at(bench, option, "R88", DAY - timedelta(days=90))
    found_at(bench, option, "R89")
    found_at(bench, option, "R89", DAY + timedelta(days=900))
    assert truth(connector, bench.board).options[0].since == DAY


def test_a_past_minute_has_the_setting_of_that_minute(
    bench: Bench, connector: Connector, option: Option
) -> None:
    found_at(bench, option, "R88", DAY - timedelta(days=90))
    found_at(bench, option, "R89")
    assert level(truth(connector, bench.board, DAY - timedelta(minutes=1))) == MARK
    assert level(truth(connector, bench.board, DAY)) == LOGIC


def test_an_option_found_not_fitted_leaves_its_pins_without_a_word(
    bench: Bench, connector: Connector, option: Option
) -> None:
    store_option_setting(actor=bench.actor, board=bench.board, option=option, position=None)
    found = truth(connector, bench.board)
    assert [one.pin.number for one in found.pins] == ["1", "10"]
    assert "MODE not fitted since" in found.options[0].says


def test_a_pin_two_options_decide_is_named(bench: Bench, connector: Connector) -> None:
    other = add_option(
        actor=bench.actor, project=bench.project, subsystem=bench.subsystem,
        key="STRAP", name="strap", positions=[("in", "")],
    )  # fmt: skip
    position = other.positions.get()
    pins = [PinInput("2", "+6V0", "power out", "6 V")]
    set_pins(actor=bench.actor, connector=connector, revision=bench.revision, pins=pins, position=position)
    store_option_setting(actor=bench.actor, board=bench.board, option=other, position=position)
    assert "pin 2 is decided by MODE R88 and by STRAP alike" in truth(connector, bench.board).cautions


def rework(bench: Bench, what: str, paths: list[PathInput] | None = None, key: str = "RW-01") -> None:
    store_rework(
        actor=bench.actor, board=bench.board, key=key, kind="wire link", intent="repair", what=what,
        subsystems=[bench.subsystem], in_force_from=DAY, paths=paths or [],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("what", "paths", "says"),
    [
        ("wire to J7 pin 3", [], "RW-01 (repair) names J7: wire to J7 pin 3"),
        ("a wire", [PathInput("U5.3", "J7.3")], "RW-01 (repair) names J7: a wire"),
        ("wire to J70", [], "RW-01 (repair) touches RLD, which J7 belongs to: wire to J70"),
    ],
    ids=["in its words", "in its path", "by its subsystem"],
)
def test_a_rework_that_bears_on_it_is_named(
    bench: Bench, connector: Connector, what: str, paths: list[PathInput], says: str
) -> None:
    rework(bench, what, paths)
    assert truth(connector, bench.board).reworks == (says,)


def test_an_undone_rework_is_named_only_while_it_held(bench: Bench, connector: Connector) -> None:
    rework(bench, "wire to J7")
    end_rework(actor=bench.actor, rework=bench.board.reworks.get(), at=DAY + timedelta(days=1))
    assert truth(connector, bench.board).reworks == ()
    assert len(truth(connector, bench.board, DAY).reworks) == 1


def test_a_revision_has_the_pins_of_its_ancestor_until_it_gets_its_own(
    bench: Bench, connector: Connector
) -> None:
    child = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    board = bench.extra_board("0002", child)
    assert truth(connector, board).tables.described_on == bench.revision
    set_pins(actor=bench.actor, connector=connector, revision=child, pins=[PinInput("1", "VIN", "power in")])
    assert truth(connector, board).carries == (("1", "VIN", "", ""),)
    assert len(truth(connector, bench.board).pins) == 3


def test_boards_and_connectors_cost_no_query_each(
    bench: Bench, connector: Connector, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    boards = [bench.board, *(bench.extra_board(f"01{number:02}") for number in range(8))]
    with django_assert_max_num_queries(12):
        assert len(connector_truths(boards, [connector])) == 9
