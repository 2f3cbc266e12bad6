"""What the bench page remembers from one reading to the next, so that it is chosen once.

Instrument, range and stated uncertainty belong to a kind of quantity: a range of volts serves every
check in volts, on this board, for as long as the person stays signed in.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest

from logbook.boards.models import Board
from logbook.core.quantities import unit_named

REMEMBERED = "bench"


@dataclass(frozen=True)
class Settings:
    """How the last reading of this kind of quantity was taken."""

    meter: str = ""
    expanded_uncertainty: str = ""
    coverage_factor: str = ""


def remembered(request: HttpRequest, board: Board, unit: str) -> Settings | None:
    """Return the settings of the last reading in this kind of unit; none at the first one."""
    kept = request.session.get(REMEMBERED, {}).get(_place(board, unit))
    return Settings(*kept) if kept else None


def remember(request: HttpRequest, board: Board, unit: str, settings: Settings) -> None:
    """Keep the settings for the next reading in this kind of unit."""
    kept = request.session.get(REMEMBERED, {})
    kept[_place(board, unit)] = [settings.meter, settings.expanded_uncertainty, settings.coverage_factor]
    request.session[REMEMBERED] = kept


def _place(board: Board, unit: str) -> str:
    return f"{board.pk} {unit_named(unit).base}"
