"""Drawings that stand where the demo would have photos: plain lines, and each says that it is drawn."""

from __future__ import annotations

from collections.abc import Callable

from logbook.recall.demo.drawings import boards, housings, screens

DRAWINGS: dict[str, Callable[[], bytes]] = {
    "fresh-board": boards.fresh_board,
    "dead-bug": boards.dead_bug,
    "strap-wire": boards.strap_wire,
    "rail-ramp": screens.rail_ramp,
    "bus-edges": screens.bus_edges,
    "warm-regulator": screens.warm_regulator,
    "crystal-resistor": boards.crystal_resistor,
    "spur": screens.spur,
    "wrong-legend": housings.wrong_legend,
    "opened-cable": housings.opened_cable,
    "corrosion": boards.corrosion,
    "memory-wires": boards.memory_wires,
    "both-straps": boards.both_straps,
    "latch-and-pillar": housings.latch_and_pillar,
}
