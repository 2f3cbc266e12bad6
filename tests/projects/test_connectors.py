"""Describing connectors and what their pins carry."""

from __future__ import annotations

import pytest

from logbook.common.errors import InvalidInputError
from logbook.common.models import ChangeRecord
from logbook.projects.commands import PinInput, change_connector, set_pins
from logbook.projects.models import Connector
from tests.boards.choices_of_tern import add_link, add_mode
from tests.builders import Bench, build_bench


@pytest.fixture
def connector(bench: Bench) -> Connector:
    """Return J7 with pins 1, 2 and 10."""
    return add_link(bench, add_mode(bench))


def test_what_is_said_of_it_leaves_old_and_new_on_record(bench: Bench, connector: Connector) -> None:
    change_connector(
        actor=bench.actor, connector=connector, values={"pin_1": "square pad", "cable": "crossed"}
    )
    newest = ChangeRecord.objects.filter(kind="connector").first()
    assert newest is not None
    assert newest.fields == {"pin_1": ["", "square pad"], "cable": ["", "crossed"]}


def test_a_new_table_takes_the_old_one_out_of_force_and_keeps_it(bench: Bench, connector: Connector) -> None:
    pins = [PinInput("1", "VIN", "power in", "9 to 16 V")]
    set_pins(actor=bench.actor, connector=connector, revision=bench.revision, pins=pins)
    always = connector.pins.filter(position=None)
    assert [pin.name for pin in always.filter(replaced_at=None)] == ["VIN"]
    assert {pin.name for pin in always.exclude(replaced_at=None)} == {"GND", "SHIELD"}
    newest = ChangeRecord.objects.filter(kind="connector").first()
    assert newest is not None
    assert newest.fields["pins on A"] == ["10 SHIELD ground; 1 GND ground 0 V", "1 VIN power in 9 to 16 V"]


@pytest.mark.parametrize(
    ("pins", "says"),
    [
        ([PinInput("1", "a", "out"), PinInput("1", "b", "in")], "pin 1 is in the table twice"),
        ([PinInput("1", "a", "out"), PinInput("2", "", "in")], "line 2: name"),
        ([PinInput("1", "a", "sideways")], "line 1: direction"),
        ([PinInput(str(number), "a", "out") for number in range(201)], "too many pins"),
    ],
    ids=["a pin twice", "a pin without a name", "a direction there is none of", "too many"],
)
def test_a_table_with_a_bad_line_is_refused_whole(
    bench: Bench, connector: Connector, pins: list[PinInput], says: str
) -> None:
    before = connector.pins.filter(replaced_at=None).count()
    with pytest.raises(InvalidInputError, match=says):
        set_pins(actor=bench.actor, connector=connector, revision=bench.revision, pins=pins)
    assert connector.pins.filter(replaced_at=None).count() == before


def test_pins_belong_to_a_revision_and_an_option_of_the_project(bench: Bench, connector: Connector) -> None:
    other = build_bench("heron")
    position = add_mode(other).positions.first()
    pin = [PinInput("1", "a", "out")]
    with pytest.raises(InvalidInputError, match="another project"):
        set_pins(actor=bench.actor, connector=connector, revision=other.revision, pins=pin)
    with pytest.raises(InvalidInputError, match="another project"):
        set_pins(actor=bench.actor, connector=connector, revision=bench.revision, pins=pin, position=position)
