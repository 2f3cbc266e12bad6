"""The picture of a target's samples: every board of every revision on one scale, ready to be written down."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from logbook.core.quantities import canonical_text, format_quantity, unit_named
from logbook.planning.queries import PointSample

WIDTH = 480
SIDE = 12
ROW = 52
TOP = 6
FOOT = 34
# Room beyond the outermost thing shown, as a share of the whole.
ROOM = 0.06
# Beyond two limits the scale reaches at most this many times their width.
FARTHEST = 1.5
MOST_TICKS = 5


@dataclass(frozen=True)
class Dot:
    """One board; ``beyond`` is -1 or 1 where it lies outside the picture."""

    x: float
    y: float
    title: str
    tone: str
    beyond: int

    @property
    def arrow(self) -> str:
        """Return the corners of the arrow that stands for a value outside."""
        back = self.x - self.beyond * 9
        return f"{self.x:g},{self.y:g} {back:g},{self.y - 6:g} {back:g},{self.y + 6:g}"


@dataclass(frozen=True)
class Band:
    """A stretch of the scale."""

    x: float
    end: float

    @property
    def width(self) -> float:
        """Return its length."""
        return round(self.end - self.x, 2)


@dataclass(frozen=True)
class Line:
    """One revision at one point: limits, the next board's interval, the boards and their mean."""

    label: str
    y: float
    zone: Band
    limits: tuple[float, ...]
    following: Band | None
    mean: float
    dots: tuple[Dot, ...]

    @property
    def label_y(self) -> float:
        """Return where the label stands, above its line."""
        return self.y - 18


@dataclass(frozen=True)
class Tick:
    """A number of the scale."""

    x: float
    text: str


@dataclass(frozen=True)
class SamplePlot:
    """The picture; ``label`` says in words what it shows."""

    lines: tuple[Line, ...]
    ticks: tuple[Tick, ...]
    unit: str
    label: str

    @property
    def width(self) -> int:
        """Return the width of the picture."""
        return WIDTH

    @property
    def axis_y(self) -> int:
        """Return the height of the scale."""
        return TOP + ROW * len(self.lines)

    @property
    def height(self) -> int:
        """Return the height of the picture."""
        return self.axis_y + FOOT


@dataclass(frozen=True)
class _Scale:
    low: float
    high: float

    def x(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return round(SIDE + min(1.0, max(0.0, share)) * (WIDTH - 2 * SIDE), 2)

    def beyond(self, value: float) -> int:
        return -1 if value < self.low else 1 if value > self.high else 0


def sample_plot(samples: Sequence[PointSample]) -> SamplePlot | None:
    """Return the picture of the samples that hold numbers, in the unit of the newest; none without one."""
    drawn = [one for one in samples if one.sample is not None]
    if not drawn:
        return None
    unit = drawn[-1].unit
    drawn = [one for one in drawn if one.unit.base == unit.base]
    factors = [float(one.unit.factor / unit.factor) for one in drawn]
    scale = _scale(drawn, factors)
    lines = tuple(
        _line(one, factor, scale, TOP + ROW * place + 34)
        for place, (one, factor) in enumerate(zip(drawn, factors, strict=True))
    )
    return SamplePlot(lines, _ticks(scale), unit.symbol, "; ".join(_words(one) for one in drawn))


def _scale(samples: Sequence[PointSample], factors: Sequence[float]) -> _Scale:
    """Return the scale that holds limits, boards and intervals, as far as sensible."""
    seen: list[float] = []
    reach: list[tuple[float, float]] = []
    for one, factor in zip(samples, factors, strict=True):
        low, high = one.bounds
        values = [reading.value for reading in one.readings if reading.value is not None]
        ends = one.predictive.interval() if one.predictive else ()
        seen += [factor * value for value in (*values, *ends, low, high) if value is not None]
        if low is not None and high is not None:
            room = (high - low) * FARTHEST
            reach.append((factor * (low - room), factor * (high + room)))
    begins, ends_at = min(seen), max(seen)
    if len(reach) == len(samples) and any(low < high for low, high in reach):
        begins = max(begins, min(low for low, _ in reach))
        ends_at = min(ends_at, max(high for _, high in reach))
    room = (ends_at - begins) * ROOM or abs(ends_at) * ROOM or 1.0
    return _Scale(begins - room, ends_at + room)


def _line(sample: PointSample, factor: float, scale: _Scale, y: float) -> Line:
    low, high = (None if bound is None else factor * bound for bound in sample.bounds)
    following = sample.predictive.interval() if sample.predictive else None
    assert sample.sample is not None  # noqa: S101 - only such samples are drawn
    return Line(
        label=f"{name_of(sample)} · n = {sample.sample.n}",
        y=y,
        zone=Band(scale.x(scale.low if low is None else low), scale.x(scale.high if high is None else high)),
        limits=tuple(scale.x(bound) for bound in (low, high) if bound is not None),
        following=Band(*(scale.x(factor * end) for end in following)) if following else None,
        mean=scale.x(factor * sample.sample.mean),
        dots=tuple(
            Dot(
                scale.x(factor * one.value),
                y,
                f"{one.board}: {format_quantity(one.value, sample.unit)}, {one.verdict or 'no verdict'}",
                one.verdict,
                scale.beyond(factor * one.value),
            )
            for one in sample.readings
            if one.value is not None
        ),
    )


def name_of(sample: PointSample) -> str:
    """Return the revision and the point of a sample."""
    return f"rev {sample.revision} · {sample.point}" if sample.point else f"rev {sample.revision}"


def _ticks(scale: _Scale) -> tuple[Tick, ...]:
    """Return round numbers: steps of 1, 2 or 5 times a power of ten."""
    wanted = (scale.high - scale.low) / MOST_TICKS
    power = math.floor(math.log10(wanted))
    step = next(
        step
        for size, place in ((1, power), (2, power), (5, power), (1, power + 1))
        if float(step := Decimal(size).scaleb(place)) >= wanted * 0.999
    )
    first, last = math.ceil(scale.low / float(step)), math.floor(scale.high / float(step))
    return tuple(
        Tick(scale.x(float(step * count)), canonical_text(step * count)) for count in range(first, last + 1)
    )


def _words(sample: PointSample) -> str:
    assert sample.sample is not None  # noqa: S101 - only such samples are drawn
    unit = unit_named(sample.unit.symbol)
    read = ", ".join(
        f"{one.board} {format_quantity(one.value, unit)}" for one in sample.readings if one.value is not None
    )
    words = f"{name_of(sample)}: {read}; mean {format_quantity(sample.sample.mean, unit)}"
    if sample.predictive is None:
        return words
    low, high = (format_quantity(end, unit, digits=4) for end in sample.predictive.interval())
    return f"{words}; next board {low} to {high}"
