"""What the bench page remembers from one reading to the next, so that it is chosen once.

Instrument and range belong to a kind of quantity: a range of volts serves every check in volts, on this
board, for as long as the person stays signed in. An uncertainty typed by hand is a statement about one
check: it is kept for the next point of the same target in the same sitting, and for nothing else.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.http import HttpRequest

from logbook.boards.models import Board
from logbook.core.quantities import unit_named
from logbook.planning.queries import BenchLine

METERS = "bench-meters"
STATED = "bench-stated"
FORGET = "forget"


@dataclass(frozen=True)
class Stated:
    """An uncertainty typed by hand, with its coverage factor."""

    expanded_uncertainty: str = ""
    coverage_factor: str = ""

    def in_words(self, unit: str) -> str:
        """Return it as said beside the field; a bare number is in the unit of the check."""
        typed = self.expanded_uncertainty
        bare = re.fullmatch(r"[0-9.]+(?:[eE][+-]?[0-9]+)?", typed)
        with_unit = f"{typed} {unit}" if bare else typed
        return f"± {with_unit}" + (f", k = {self.coverage_factor}" if self.coverage_factor else "")


def remembered_meter(request: HttpRequest, board: Board, unit: str) -> str | None:
    """Return the meter of the last reading in this kind of unit; none at the first one."""
    kept: dict[str, str] = request.session.get(METERS, {})
    return kept.get(_place(board, unit))


def stated_before(
    request: HttpRequest, board: Board, line: BenchLine, bench_session: int | None
) -> Stated | None:
    """Return the uncertainty typed at the last reading when this is another point of its check."""
    kept = request.session.get(STATED)
    if not kept or request.GET.get(FORGET):
        return None
    *place, point, uncertainty, factor = kept
    if place != [board.pk, line.target.key, bench_session] or point == line.point:
        return None
    return Stated(uncertainty, factor)


def remember(
    request: HttpRequest,
    board: Board,
    line: BenchLine,
    *,
    meter: str,
    stated: Stated,
    bench_session: int | None,
) -> None:
    """Keep how a reading was taken, for the next one."""
    meters = request.session.get(METERS, {})
    meters[_place(board, line.issue.unit)] = meter
    request.session[METERS] = meters
    place = [board.pk, line.target.key, bench_session, line.point]
    given = [stated.expanded_uncertainty, stated.coverage_factor]
    request.session[STATED] = [*place, *given] if stated.expanded_uncertainty else None


def _place(board: Board, unit: str) -> str:
    return f"{board.pk} {unit_named(unit).base}"
