"""The limit strip of one row of coverage: every reading that counts as a tick on one scale."""

from __future__ import annotations

from collections import defaultdict
from functools import lru_cache

from django.utils.html import format_html, format_html_join
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


def strip_of_row(row: CoverageRow) -> SafeString | str:
    """Draw the readings that count of every board and point; empty for what is no number."""
    limits = limits_of(row.issue) if row.issue.kind == TargetKind.NUMBER else None
    places = _places(row)
    if limits is None or not places:
        return ""
    scale = scale_for(limits, None, [place for _, place in places], width=WIDTH)
    return format_html(
        '<svg class="strip small row" viewBox="0 0 180 20" role="img" aria-label="{}">'
        '<line class="axis" x1="0" x2="180" y1="10" y2="10"/>{}{}{}</svg>',
        f"{len(places)} {'reading' if len(places) == 1 else 'readings'} against {row.issue.limits_text}",
        _zone(limits, scale),
        _limits(limits, scale),
        _ticks(places, scale),
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


def _zone(limits: Limits, scale: Scale) -> SafeString:
    begin = 0.0 if limits.low is None else scale.x(float(limits.low))
    end = float(WIDTH) if limits.high is None else scale.x(float(limits.high))
    return format_html(
        '<rect class="zone" x="{}" y="4" width="{}" height="12"/>', begin, round(end - begin, 1)
    )


def _limits(limits: Limits, scale: Scale) -> SafeString:
    places = [(scale.x(float(bound)),) for bound in (limits.low, limits.high) if bound is not None]
    return format_html_join("", '<line class="limit" x1="{0}" x2="{0}" y1="2" y2="18"/>', places)


def _ticks(places: list[tuple[str, float]], scale: Scale) -> SafeString:
    """Return one path for each tone, which keeps a page of thousands of readings small."""
    by_tone: dict[str, list[str]] = defaultdict(list)
    for tone, place in places:
        by_tone[tone].append(f"M{scale.x(place):g} 3V17")
    paths = ((tone, "".join(strokes)) for tone, strokes in by_tone.items())
    return format_html_join("", '<path class="tick {}" d="{}"/>', paths)
