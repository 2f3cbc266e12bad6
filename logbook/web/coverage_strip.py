"""The limit strip of one row of coverage: every reading that counts as a tick on one scale."""

from __future__ import annotations

from collections import defaultdict
from functools import lru_cache
from html import escape

from django.utils.safestring import SafeString

from logbook.bench.choices import TargetKind
from logbook.bench.translate import limits_of
from logbook.core.limits import Limits
from logbook.core.quantities import unit_named
from logbook.planning.queries import CoverageRow
from logbook.web.scales import Scale, scale_for
from logbook.web.tones import tone_of_verdict

WIDTH = 180


@lru_cache(maxsize=1024)
def _factor(unit: str) -> float:
    return float(unit_named(unit).factor)


def strip_of_row(row: CoverageRow) -> SafeString:
    """Draw the readings that count of every board and point; empty for what is no number."""
    limits = limits_of(row.issue) if row.issue.kind == TargetKind.NUMBER else None
    places = _places(row) if limits is not None else []
    if limits is None or not places:
        return SafeString("")
    scale = scale_for(limits, None, [place for _, place in places], width=WIDTH)
    readings = "reading" if len(places) == 1 else "readings"
    return SafeString(
        f'<svg class="strip small row" viewBox="0 0 180 20" role="img"'
        f' aria-label="{len(places)} {readings} against {escape(row.issue.limits_text)}">'
        f'<line class="axis" x1="0" x2="180" y1="10" y2="10"/>'
        f"{_bounds(limits, scale)}{_ticks(places, scale)}</svg>"
    )


def _places(row: CoverageRow) -> list[tuple[str, float]]:
    """Return tone and value, in the unit of the limits, of each reading that counts."""
    factor = _factor(row.issue.unit)
    return [
        (tone_of_verdict(point.verdict), point.measurement.value_base / factor)
        for board in row.boards
        for point in board.points
        if point.measurement is not None and point.measurement.value_base is not None
    ]


def _bounds(limits: Limits, scale: Scale) -> str:
    """Return what is allowed, and a line at each limit."""
    low = None if limits.low is None else scale.x(float(limits.low))
    high = None if limits.high is None else scale.x(float(limits.high))
    begin, end = 0.0 if low is None else low, float(WIDTH) if high is None else high
    lines = "".join(
        f'<line class="limit" x1="{place}" x2="{place}" y1="2" y2="18"/>'
        for place in (low, high)
        if place is not None
    )
    return f'<rect class="zone" x="{begin}" y="4" width="{round(end - begin, 1)}" height="12"/>{lines}'


def _ticks(places: list[tuple[str, float]], scale: Scale) -> str:
    """Return one path for each tone, which keeps a page of thousands of readings small."""
    by_tone: dict[str, list[str]] = defaultdict(list)
    for tone, place in places:
        by_tone[tone].append(f"M{scale.x(place):g} 3V17")
    return "".join(f'<path class="tick {tone}" d="{"".join(strokes)}"/>' for tone, strokes in by_tone.items())
