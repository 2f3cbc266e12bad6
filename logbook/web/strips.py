"""The limit strip: limits, guard bands, a value with its uncertainty and other boards on one scale.

Everything is worked out here; the template only writes it down. Lengths are in the picture's own units.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal, Protocol

from logbook.bench.choices import Outcome
from logbook.bench.models import Measurement, TargetIssue
from logbook.bench.translate import judgement_of, limits_of
from logbook.core.errors import CoreError
from logbook.core.limits import Limits, format_limits
from logbook.core.quantities import canonical_text, convert, format_quantity, unit_named
from logbook.web.scales import Scale, scale_for
from logbook.web.tones import tone_of_verdict

Size = Literal["large", "small"]
MOST_NAMED = 4
# Width of one character of the captions; the font is 11 units high and monospaced.
CHARACTER = 6.8


class OtherBoard(Protocol):
    """What a strip needs to know of a sister board's reading; ``value_base`` is in the base unit."""

    serial: str
    text: str
    unit: str
    value_base: float | None


@dataclass(frozen=True)
class Sign:
    """A mark at a place of the scale; ``beyond`` is -1 or 1 where it would lie outside the picture."""

    x: float
    beyond: int = 0


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
class Caption:
    """A word below the scale."""

    x: float
    y: float
    text: str
    anchor: str = "middle"

    @property
    def reach(self) -> tuple[float, float]:
        """Return where the text begins and ends."""
        length = len(self.text) * CHARACTER
        begins = {"start": self.x, "middle": self.x - length / 2, "end": self.x - length}[self.anchor]
        return begins, begins + length


@dataclass(frozen=True)
class Reading:
    """The value to show, in the unit of the limits."""

    value: Decimal
    expanded_uncertainty: Decimal | None = None
    verdict: str = ""
    decidable: bool = True
    is_guarded: bool = True


@dataclass(frozen=True)
class Strip:
    """A strip ready to be written down. ``is_drawn`` is false where there is no scale, only words."""

    size: Size
    label: str
    tone: str = "none"
    is_drawn: bool = False
    zones: tuple[Band, ...] = ()
    guards: tuple[Band, ...] = ()
    limits: tuple[Sign, ...] = ()
    sisters: tuple[Sign, ...] = ()
    reach: Band | None = None
    needle: Sign | None = None
    captions: tuple[Caption, ...] = field(default=())

    @property
    def width(self) -> int:
        """Return the width of the picture."""
        return 480 if self.size == "large" else 180

    @property
    def height(self) -> int:
        """Return the height of the picture."""
        return 76 if self.size == "large" else 20

    @property
    def axis_y(self) -> int:
        """Return the height of the scale's line."""
        return 26 if self.size == "large" else 10

    @property
    def band_y(self) -> int:
        """Return the upper edge of zone and guard bands."""
        return self.axis_y - self.band_height // 2

    @property
    def band_height(self) -> int:
        """Return the height of zone and guard bands."""
        return 20 if self.size == "large" else 12

    @property
    def limit_top(self) -> int:
        """Return the upper end of a limit's line."""
        return 10 if self.size == "large" else 2

    @property
    def limit_foot(self) -> int:
        """Return the lower end of a limit's line."""
        return 42 if self.size == "large" else 18

    @property
    def sister_top(self) -> int:
        """Return the upper end of another board's tick."""
        return 36 if self.size == "large" else 13

    @property
    def sister_foot(self) -> int:
        """Return the lower end of another board's tick."""
        return 44 if self.size == "large" else 19

    @property
    def needle_top(self) -> int:
        """Return the upper end of the value's line."""
        return 11 if self.size == "large" else 3

    @property
    def needle_foot(self) -> int:
        """Return the lower end of the value's line."""
        return 41 if self.size == "large" else 17

    @property
    def arrow(self) -> str:
        """Return the arrow that stands for a value outside the picture; empty when it is inside."""
        if self.needle is None or self.needle.beyond == 0:
            return ""
        length = self.band_height * 0.6
        tip = self.width - 1 if self.needle.beyond > 0 else 1
        back = tip - self.needle.beyond * length
        half = self.band_height / 2
        return f"{tip},{self.axis_y} {back:g},{self.axis_y - half:g} {back:g},{self.axis_y + half:g}"


def strip_for(
    issue: TargetIssue,
    *,
    measurement: Measurement | None = None,
    sisters: Iterable[OtherBoard] = (),
    size: Size = "large",
) -> Strip:
    """Return the strip of a target's issue, a reading judged under it and what other boards read."""
    limits = limits_of(issue)
    others = tuple(sisters)
    if limits is None:
        return Strip(size, _words("no limits: it is only seen working", measurement, others))
    if limits.kind == "yes_no" or limits.trials is not None:
        tone = tone_of_verdict(measurement.verdict if measurement else "")
        return Strip(size, _words(f"asked for: {format_limits(limits)}", measurement, others), tone)
    reading = _reading_under(issue, limits, measurement)
    if measurement is not None and reading is None:
        others_words = _others_words(others)
        words = "; ".join(part for part in (f"{measurement}, not a number to compare", others_words) if part)
        return Strip(size, words, tone_of_verdict(measurement.verdict))
    return strip_of(limits, reading, sisters=others, size=size)


def strip_of(
    limits: Limits,
    reading: Reading | None = None,
    *,
    sisters: Iterable[OtherBoard] = (),
    size: Size = "large",
) -> Strip:
    """Return the strip of a number against its limits."""
    others = [(other, float(other.value_base)) for other in sisters if other.value_base is not None]
    factor = float(limits.unit.factor)
    places = [value / factor for _, value in others]
    scale = scale_for(limits, reading, places, width=480 if size == "large" else 180)
    needle = scale.sign(float(reading.value)) if reading else None
    guard = _guard_of(reading)
    signs = tuple(Sign(*scale.sign(place)) for place in places)
    return Strip(
        size=size,
        label=_label(limits, reading, [other for other, _ in others]),
        tone=tone_of_verdict(reading.verdict if reading else ""),
        is_drawn=True,
        zones=_zones(limits, scale, guard),
        guards=_guards(limits, scale, guard),
        limits=tuple(Sign(scale.x(float(bound))) for bound in (limits.low, limits.high) if bound is not None),
        sisters=signs,
        reach=_reach(reading, scale),
        needle=Sign(*needle) if needle else None,
        captions=_captions(limits, scale, [other for other, _ in others], signs) if size == "large" else (),
    )


def _reading_under(issue: TargetIssue, limits: Limits, measurement: Measurement | None) -> Reading | None:
    if measurement is None or measurement.outcome not in {Outcome.NUMBER, Outcome.COUNT}:
        return None
    if not measurement.value:
        return None
    try:
        judgement = judgement_of(issue, measurement)
        unit = unit_named(measurement.unit)
        value = convert(Decimal(measurement.value), unit, limits.unit)
        stated = measurement.expanded_uncertainty
        uncertainty = convert(Decimal(stated), unit, limits.unit) if stated else None
    except CoreError:
        return None
    verdict = judgement.verdict.value if judgement.verdict else ""
    return Reading(value, uncertainty, verdict, judgement.decidable, judgement.rule == "guarded")


def _guard_of(reading: Reading | None) -> float:
    if reading is None or reading.expanded_uncertainty is None or not reading.is_guarded:
        return 0.0
    return float(reading.expanded_uncertainty)


def _bounds(limits: Limits, scale: Scale) -> tuple[float, float]:
    low = scale.low if limits.low is None else float(limits.low)
    high = scale.high if limits.high is None else float(limits.high)
    return low, high


def _zones(limits: Limits, scale: Scale, guard: float) -> tuple[Band, ...]:
    low, high = _bounds(limits, scale)
    begins = low + (guard if limits.low is not None else 0)
    ends = high - (guard if limits.high is not None else 0)
    return (Band(scale.x(begins), scale.x(ends)),) if begins < ends else ()


def _guards(limits: Limits, scale: Scale, guard: float) -> tuple[Band, ...]:
    """Return the guard bands inside the limits; where they meet, one band over the whole width."""
    if guard <= 0:
        return ()
    low, high = _bounds(limits, scale)
    bands = []
    if limits.low is not None:
        bands.append(Band(scale.x(low), scale.x(min(low + guard, high))))
    if limits.high is not None:
        bands.append(Band(scale.x(max(high - guard, low)), scale.x(high)))
    if len(bands) == 2 and bands[0].end >= bands[1].x:
        return (Band(bands[0].x, bands[1].end),)
    return tuple(bands)


def _reach(reading: Reading | None, scale: Scale) -> Band | None:
    if reading is None or not reading.expanded_uncertainty:
        return None
    value, spread = float(reading.value), float(reading.expanded_uncertainty)
    if scale.sign(value)[1]:
        return None
    return Band(scale.x(value - spread), scale.x(value + spread))


def _captions(
    limits: Limits, scale: Scale, others: list[OtherBoard], signs: tuple[Sign, ...]
) -> tuple[Caption, ...]:
    bounds = [bound for bound in (limits.low, limits.high) if bound is not None]
    captions = [
        _kept_inside(Caption(scale.x(float(bound)), 56, canonical_text(bound)), scale)
        for bound in dict.fromkeys(bounds)
    ]
    if len(captions) == 2 and captions[0].reach[1] > captions[1].reach[0] - CHARACTER:
        left, right = captions
        captions = [Caption(left.x, left.y, left.text, "end"), Caption(right.x, right.y, right.text, "start")]
    if others:
        names = " ".join(other.serial for other in others)
        text = names if len(others) <= MOST_NAMED else f"{len(others)} other boards"
        middle = round(sum(sign.x for sign in signs) / len(signs), 1)
        captions.append(_kept_inside(Caption(middle, 71, text), scale))
    return tuple(captions)


def _kept_inside(caption: Caption, scale: Scale) -> Caption:
    begins, ends = caption.reach
    if begins < 0:
        return Caption(0, caption.y, caption.text, "start")
    if ends > scale.width:
        return Caption(scale.width, caption.y, caption.text, "end")
    return caption


def _label(limits: Limits, reading: Reading | None, others: list[OtherBoard]) -> str:
    parts = [_reading_words(limits, reading) if reading else "no reading yet"]
    parts.append(f"limits {format_limits(limits)}")
    words = _others_words(others)
    return "; ".join([*parts, words] if words else parts)


def _reading_words(limits: Limits, reading: Reading) -> str:
    words = format_quantity(reading.value, limits.unit)
    if reading.expanded_uncertainty is None:
        words += ", no uncertainty stated"
    else:
        words += f", uncertainty {format_quantity(reading.expanded_uncertainty, limits.unit)}"
    words += f", {reading.verdict}" if reading.verdict else ""
    return words if reading.decidable else f"{words}, undecidable with this uncertainty"


def _words(asked: str, measurement: Measurement | None, others: Iterable[OtherBoard]) -> str:
    read = "no reading yet" if measurement is None else f"read: {measurement}"
    return "; ".join(part for part in (asked, read, _others_words(others)) if part)


def _others_words(others: Iterable[OtherBoard]) -> str:
    named = [f"{other.serial} {other.text} {other.unit}".strip() for other in others]
    return f"other boards: {', '.join(named)}" if named else ""
