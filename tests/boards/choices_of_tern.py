"""An option and a connector for the small invented project of the tests."""

from __future__ import annotations

from logbook.projects.commands import PinInput, add_connector, add_option, set_designed_position, set_pins
from logbook.projects.models import Connector, Option
from tests.builders import Bench

# TIA-232: a driver gives 5 to 15 V of either sign into its load; mark is the negative one.
MARK = "-15 to -5 V at mark"
LOGIC = "3.3 V logic, idles high"


def add_mode(bench: Bench, *, drawn: str | None = "R88") -> Option:
    """Add an option that decides what J7 carries, drawn at ``drawn`` on revision A."""
    option = add_option(
        actor=bench.actor,
        project=bench.project,
        subsystem=bench.subsystem,
        key="MODE",
        name="J7 mode",
        positions=[("R88", "TIA-232 levels"), ("R89", "3.3 V logic levels")],
    )
    if drawn:
        position = option.positions.get(name=drawn)
        set_designed_position(actor=bench.actor, revision=bench.revision, option=option, position=position)
    return option


def add_link(bench: Bench, option: Option) -> Connector:
    """Add J7 with pins 1 and 10 always, and pin 2 as the option has it."""
    connector = add_connector(
        actor=bench.actor,
        project=bench.project,
        subsystem=bench.subsystem,
        key="J7",
        name="buoy link",
        values={"caution": "the legend says 3V3 UART"},
    )
    always = [PinInput("10", "SHIELD", "ground"), PinInput("1", "GND", "ground", "0 V")]
    set_pins(actor=bench.actor, connector=connector, revision=bench.revision, pins=always)
    for name, level, standard in (("R88", MARK, "TIA-232"), ("R89", LOGIC, "3.3 V CMOS")):
        set_pins(
            actor=bench.actor,
            connector=connector,
            revision=bench.revision,
            pins=[PinInput("2", "TX", "out", level, standard)],
            position=option.positions.get(name=name),
        )
    return connector
