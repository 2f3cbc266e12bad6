"""The limit strip: limits, guard bands, a value with its uncertainty and other boards on one scale.

Everything is worked out here; the template only writes it down.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from logbook.bench.choices import Outcome
from logbook.bench.models import Measurement, TargetIssue
from logbook.bench.translate import judgement_of, limits_of
from logbook.core.errors import CoreError
from logbook.core.limits import Limits, format_limits
from logbook.core.quantities import canonical_text, convert, format_quantity, unit_named
from logbook.web.scales import Scale, scale_for
from logbook.web.strip_picture import CHARACTER, Band, Caption, Sign, Size, Strip
from logbook.web.tones import tone_of_verdict

__all__ = ["OtherBoard", "Reading", "Strip", "strip_for", "strip_of"]

MOST_NAMED = 4


class OtherBoard(Protocol):
    """What a strip needs to know of a sister board's reading; ``value_base`` is in the base unit."""

    @property
    def serial(self) -> str:
        """Return the serial of the board."""

    @property
    def text(self) -> str:
        """Return the reading as typed."""

    @property
    def unit(self) -> str:
        """Return its unit."""

    @property
    def value_base(self) -> float | None:
        """Return its value; none where it is not a number."""


@dataclass(frozen=True)
class Reading:
    """The value to show, in the unit of the limits."""

    value: Decimal
    expanded_uncertainty: Decimal | None = None
    verdict: str = ""
    decidable: bool = True
    is_guarded: bool = True


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
