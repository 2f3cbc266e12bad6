"""Calculations and the limits that rest on them: the entries of the story that say so."""

from __future__ import annotations

from logbook.bench.commands import take_band
from logbook.bench.queries.lists import target_of
from logbook.calculations.commands import change_calculation, save_calculation
from logbook.calculations.queries import calculation_of
from logbook.calculations.translate import StackAsked
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry

ASKED = ("formula", "parts", "unit")


def saved(cast: Cast, entry: Entry) -> None:
    """Keep a calculation on the project."""
    says = dict(entry.says)
    asked = StackAsked(**{name: says.pop(name) for name in ASKED})
    save_calculation(actor=cast.actor(entry), project=cast.project(entry), asked=asked, **says)


def changed(cast: Cast, entry: Entry) -> None:
    """Change a calculation."""
    says = dict(entry.says)
    calculation = calculation_of(cast.project(entry), says.pop("key"))
    change_calculation(actor=cast.actor(entry), calculation=calculation, values=says)


def taken(cast: Cast, entry: Entry) -> None:
    """Issue a target anew with a band of a calculation as its limits."""
    says = dict(entry.says)
    project = cast.project(entry)
    take_band(
        actor=cast.actor(entry),
        target=target_of(project, says.pop("target")),
        calculation=calculation_of(project, says.pop("calculation")),
        **says,
    )
