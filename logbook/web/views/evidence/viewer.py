"""What the viewer of a capture starts from: the drawing, trace and range that were asked for."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass

from django.http import QueryDict

from logbook.common.errors import InvalidInputError
from logbook.evidence.choices import Drawn, EvidenceKind
from logbook.evidence.levels import MOST_BUCKETS
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.queries import Wanted, channels_of, drawing_says, drawings_of, view_of
from logbook.web.capture_picture import Overview, mask_lines, overview_of
from logbook.web.capture_table import CaptureTable, table_of

DRAWN_BUCKETS = 600
# A steady tone is drawn as a steady line, not by the ripple of its last digit.
LEAST_SPAN_DB = 6.0
# A few periods are this many, or this long where no frequency was found.
FEW_PERIODS = 5
FEW_PERIODS_S = 0.005
FREQUENCIES = ("frequency_hz", "frequency")


@dataclass(frozen=True)
class Viewer:
    """What the capture viewer starts from."""

    overview: Overview
    table: CaptureTable
    drawings: Sequence[Drawn]
    of: str
    channels: Sequence[str]
    channel: int
    is_log: bool
    start: str
    stop: str
    x_unit: str
    mask: str
    says: str
    few_periods_s: float
    least_span: float


def wanted_in(asked: QueryDict, *, channel: int = 1, of: str = Drawn.SAMPLES, axis: str = "linear") -> Wanted:
    """Return what an address asks to be drawn."""
    trace, buckets = _number(asked, "channel"), _number(asked, "buckets")
    return Wanted(
        of=asked.get("of") or of,
        channel=channel if trace is None else int(trace),
        start=_number(asked, "start"),
        stop=_number(asked, "stop"),
        buckets=MOST_BUCKETS if buckets is None else int(buckets),
        axis=asked.get("axis") or axis,
    )


def _number(asked: QueryDict, name: str) -> float | None:
    text = asked.get(name, "").strip()
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InvalidInputError.of(name, f"{name} is no number", given=text[:40], allowed="a number")
    return value


def viewer_of(asked: QueryDict, evidence: Evidence, analysis: Analysis | None) -> Viewer | None:
    """Return the viewer of a capture; none while it was not read."""
    drawings = drawings_of(evidence)
    if not drawings:
        return None
    parameters = analysis.parameters if analysis else {}
    of = asked.get("of") or drawings[0]
    channels = channels_of(evidence, of)
    analysed = parameters.get("channel", 1)
    is_log = evidence.kind == EvidenceKind.SWEEP or of == Drawn.SPECTRUM
    wanted = wanted_in(
        asked, channel=min(analysed, max(len(channels), 1)), of=of, axis="log" if is_log else "linear"
    )
    view = view_of(
        evidence, Wanted(of, wanted.channel, wanted.start, wanted.stop, DRAWN_BUCKETS, wanted.axis)
    )
    # A mask holds for the samples of the trace that was analysed.
    mask = parameters.get("mask", "") if of == Drawn.SAMPLES and wanted.channel == analysed else ""
    is_log = wanted.axis == "log"
    tops_only = of == Drawn.SPECTRUM
    least_span = LEAST_SPAN_DB if of == Drawn.LEVEL else 0.0
    return Viewer(
        overview=overview_of(view, is_log=is_log, mask=mask, tops_only=tops_only, least_span=least_span),
        table=table_of(view, tops_only=tops_only),
        drawings=drawings,
        of=of,
        channels=channels,
        channel=wanted.channel,
        is_log=is_log,
        start=asked.get("start", ""),
        stop=asked.get("stop", ""),
        x_unit=view.x_unit,
        mask=json.dumps(mask_lines(mask, is_log=is_log) if mask else []),
        says=drawing_says(evidence, of),
        few_periods_s=_few_periods_s(analysis),
        least_span=least_span,
    )


def _few_periods_s(analysis: Analysis | None) -> float:
    numbers = analysis.numbers if analysis else {}
    found = next((numbers[name]["value"] for name in FREQUENCIES if name in numbers), 0)
    return FEW_PERIODS / found if found > 0 else FEW_PERIODS_S
