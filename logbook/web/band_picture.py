"""The bands of a stack-up against limits, on one scale. The template only writes down what stands here."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from logbook.calculations.choices import Method
from logbook.core.limits import Limits
from logbook.core.tolerance import fit_within
from logbook.web.scales import Scale
from logbook.web.strip_picture import CHARACTER, Band, Caption

WIDTH = 360
ROW = 38
TOP = 4
BESIDE = 0.08
MOST_TICKS = 4
LONGEST_TICK = 9
COVERS = {
    Method.MONTE_CARLO.label: "holds 95 % of the simulated values, 2.5 % lie beyond each end",
}


@dataclass(frozen=True)
class Tick:
    """A round number of the scale."""

    x: float
    text: str


@dataclass(frozen=True)
class BandRow:
    """The band of one method: where it is drawn, its ends as numbers and as text, and how it fits."""

    label: str
    words: str
    bar: Band
    y: int
    low: float
    high: float
    low_text: str
    high_text: str
    fits: bool | None
    margin: str
    is_usable: bool

    @property
    def tone(self) -> str:
        """Return the class that repeats in colour whether the band keeps the limits."""
        if not self.is_usable:
            return "cond"
        return {True: "pass", False: "fail", None: "plain"}[self.fits]

    @property
    def verdict(self) -> str:
        """Return whether the band keeps the limits, in words; empty without limits."""
        if not self.is_usable:
            return "not usable here"
        return {True: "within the limits", False: "beyond the limits", None: ""}[self.fits]

    @property
    def covers(self) -> str:
        """Return how much of what may be built the band holds, in words."""
        return COVERS.get(self.label, "")

    @property
    def text_y(self) -> int:
        """Return the base line of the row's words."""
        return self.y + 13

    @property
    def bar_y(self) -> int:
        """Return the upper edge of the bar."""
        return self.y + 19

    @property
    def line_y(self) -> int:
        """Return where the lines of limits and nominal begin: below the words, which they must not cross."""
        return self.y + 17

    @property
    def foot(self) -> int:
        """Return where those lines end, above the words of the next row."""
        return self.y + ROW


@dataclass(frozen=True)
class BandPicture:
    """The whole picture."""

    rows: tuple[BandRow, ...]
    nominal: float
    zone: Band | None
    limits: tuple[float, ...]
    captions: tuple[Caption, ...]
    ticks: tuple[Tick, ...]
    label: str

    @property
    def width(self) -> int:
        """Return the width."""
        return WIDTH

    @property
    def foot(self) -> int:
        """Return the lower end of the lines of limits and nominal value."""
        return TOP + ROW * len(self.rows) + 2

    @property
    def axis_y(self) -> int:
        """Return the height of the axis: below the numbers of the limits, where there are limits."""
        return self.foot + (20 if self.captions else 2)

    @property
    def tick_y(self) -> int:
        """Return the base line of the numbers of the axis."""
        return self.axis_y + 16

    @property
    def height(self) -> int:
        """Return the height."""
        return self.axis_y + 20


def picture_of(
    nominal: float,
    bands: Mapping[str, tuple[float, float]],
    unit: str,
    limits: Limits | None = None,
    *,
    unusable: Collection[str] = (),
) -> BandPicture:
    """Return the picture of the bands by method; limits are in the same unit, ``unusable`` names methods."""
    bounds = _bounds(limits)
    known = [end for end in bounds if end is not None]
    values = [nominal, *known, *(end for band in bands.values() for end in band)]
    room = (max(values) - min(values)) * BESIDE or abs(nominal) * BESIDE or 1.0
    scale = Scale(min(values) - room, max(values) + room, WIDTH)
    write = _writer(values)
    rows = tuple(
        _row(Method(name), band, place, unit, scale, bounds, write, is_usable=name not in unusable)
        for place, (name, band) in enumerate(bands.items())
    )
    foot = TOP + ROW * len(rows) + 16
    captions = tuple(_caption(scale.x(value), foot, write(value)) for value in known)
    words = [f"nominal {write(nominal)} {unit}".rstrip()]
    words += [f"{row.label} {row.words}{', ' + row.verdict if row.verdict else ''}" for row in rows]
    return BandPicture(
        rows=rows,
        nominal=scale.x(nominal),
        zone=_zone(bounds, scale) if known else None,
        limits=tuple(scale.x(value) for value in known),
        captions=_apart(captions),
        ticks=_ticks(scale),
        label="; ".join(words),
    )


def _bounds(limits: Limits | None) -> tuple[float | None, float | None]:
    if limits is None:
        return None, None
    low, high = (None if bound is None else float(bound) for bound in (limits.low, limits.high))
    return low, high


def _writer(values: Sequence[float]) -> Callable[[float], str]:
    """Return how to write numbers so that a thousandth of the stretch they span is seen."""
    span, size = max(values) - min(values), max(abs(value) for value in values)
    if span <= 0 or size == 0:
        return "{:.6g}".format
    decimals = max(0, math.ceil(-math.log10(span * 2e-3)))
    digits = decimals + math.floor(math.log10(size)) + 1
    is_plain = decimals <= 6 and size < 1e6
    return (f"{{:.{decimals}f}}" if is_plain else f"{{:.{min(max(digits, 4), 12)}g}}").format


def _row(
    method: Method,
    band: tuple[float, float],
    place: int,
    unit: str,
    scale: Scale,
    bounds: tuple[float | None, float | None],
    write: Callable[[float], str],
    *,
    is_usable: bool,
) -> BandRow:
    low, high = band
    texts = [write(end) for end in band]
    fits, margin = None, ""
    if bounds != (None, None):
        fit = fit_within(low, high, limit_low=bounds[0], limit_high=bounds[1])
        fits = fit.inside
        margins = [one for one in (fit.margin_low, fit.margin_high) if one is not None]
        margin = f"{min(margins):.3g} {unit}".rstrip()
    return BandRow(
        label=method.label,
        words=f"{texts[0]} to {texts[1]} {unit}".rstrip(),
        bar=Band(scale.x(low), max(scale.x(high), scale.x(low) + 2)),
        y=TOP + ROW * place,
        low=low,
        high=high,
        low_text=texts[0],
        high_text=texts[1],
        fits=fits,
        margin=margin,
        is_usable=is_usable,
    )


def _zone(bounds: tuple[float | None, float | None], scale: Scale) -> Band:
    low = scale.low if bounds[0] is None else bounds[0]
    high = scale.high if bounds[1] is None else bounds[1]
    return Band(scale.x(low), scale.x(high))


def _caption(x: float, y: int, text: str) -> Caption:
    half = len(text) * CHARACTER / 2
    return Caption(round(min(max(x, half), WIDTH - half), 1), y, text)


def _ticks(scale: Scale) -> tuple[Tick, ...]:
    """Return round numbers: steps of 1, 2 or 5 times a power of ten."""
    wanted = (scale.high - scale.low) / MOST_TICKS
    power = math.floor(math.log10(wanted))
    steps = (Decimal(size).scaleb(power) for size in (1, 2, 5, 10))
    step = next((one for one in steps if float(one) >= wanted * 0.999), Decimal(1).scaleb(power + 1))
    first, last = math.ceil(scale.low / float(step)), math.floor(scale.high / float(step))
    found = [(scale.x(float(step * count)), _tick_text(step * count)) for count in range(first, last + 1)]
    return tuple(Tick(x, text) for x, text in found if _is_inside(x, text))


def _tick_text(value: Decimal) -> str:
    plain = f"{value:f}"
    return plain if len(plain) <= LONGEST_TICK else f"{float(value):.12g}"


def _is_inside(x: float, text: str) -> bool:
    half = len(text) * CHARACTER / 2
    return half <= x <= WIDTH - half


def _apart(captions: tuple[Caption, ...]) -> tuple[Caption, ...]:
    """Turn two captions that would touch away from each other."""
    if len(captions) == 2 and captions[0].reach[1] > captions[1].reach[0] - CHARACTER:
        left, right = captions
        return Caption(left.x, left.y, left.text, "end"), Caption(right.x, right.y, right.text, "start")
    return captions
