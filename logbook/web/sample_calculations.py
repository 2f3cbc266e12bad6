"""What the calculators of small samples and of shares compute."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from logbook.core.errors import LimitError, SampleError
from logbook.core.limits import Limits, format_limits, parse_limits
from logbook.core.quantities import Quantity, Unit, format_quantity, parse_number, parse_quantity
from logbook.core.samples import (
    MOSTLY_ASSUMED,
    Predictive,
    Sample,
    attribute_bounds,
    capability,
    describe_sample,
    predictive_out_of_limits,
    tolerance_interval,
)
from logbook.web.risk_rows import percent_text

Given = Mapping[str, Any]


Fact = tuple[str, str]


@dataclass(frozen=True)
class SampleAnswer:
    """What a few readings say, as text; an empty fact is what they cannot say."""

    sample: Sample
    chance: str
    prior: str
    predictive: Predictive | None
    facts: tuple[Fact, ...]

    @property
    def is_mostly_assumed(self) -> bool:
        """Return whether the chance rests on the assumed spread more than on the readings."""
        return self.predictive is not None and self.predictive.basis == MOSTLY_ASSUMED


def answer_sample(given: Given) -> SampleAnswer:
    """Describe typed readings, and how they lie to typed limits."""
    readings = [parse_quantity(text, where="values") for text in given["values"]]
    limits = _limits(given["limits"], readings)
    unit = limits.unit if limits else readings[0].unit
    values = _in_one_unit(readings, unit)
    predictive = None if limits is None else _predictive(values, limits)
    return SampleAnswer(
        sample=describe_sample(values),
        chance=percent_text(predictive.p_out) if predictive else "",
        prior=format_quantity(predictive.prior_spread, unit) if predictive else "",
        predictive=predictive,
        facts=(*_described(values, unit), _tolerance(values, unit, given), *_capable(values, limits, given)),
    )


def _described(values: list[float], unit: Unit) -> tuple[Fact, ...]:
    sample = describe_sample(values)
    spread = "" if sample.s is None else format_quantity(sample.s, unit, digits=4)
    return (
        ("mean", format_quantity(sample.mean, unit, uncertainty=sample.s or None)),
        ("standard deviation s", spread),
        ("range", format_quantity(sample.range, unit)),
    )


def _tolerance(values: list[float], unit: Unit, given: Given) -> Fact:
    content, confidence = (float(parse_number(given[name], where=name)) for name in ("content", "confidence"))
    name = f"tolerance interval for {content:.4g} of boards with {confidence:.4g} confidence"
    low, high = tolerance_interval(values, content, confidence) or (None, None)
    if low is None or high is None:
        return name, ""
    width = (high - low) / 100
    return name, " to ".join(format_quantity(end, unit, uncertainty=width or None) for end in (low, high))


def _capable(values: list[float], limits: Limits | None, given: Given) -> tuple[Fact, ...]:
    if limits is None:
        return ()
    confidence = float(parse_number(given["confidence"], where="confidence"))
    found = capability(values, *_bounds(limits), confidence=confidence)
    interval = found.cpk_interval
    return (
        ("limits", format_limits(limits)),
        ("Cpk", "" if found.cpk is None else f"{found.cpk:.3f}"),
        ("its bounds", "" if interval is None else f"{interval[0]:.3f} to {interval[1]:.3f}"),
    )


def _limits(text: str, readings: list[Quantity]) -> Limits | None:
    if not text:
        return None
    limits = parse_limits(text, unit=readings[0].unit if readings[0].unit.symbol else None, where="limits")
    if limits.kind != "number":
        raise LimitError(
            f"{text!r} does not limit a number.", given=text, allowed="limits of a number", where="limits"
        )
    return limits


def _in_one_unit(readings: list[Quantity], unit: Unit) -> list[float]:
    """Return the readings in one unit; a bare number is in it already."""
    return [float(reading.value if not reading.unit.symbol else reading.to(unit)) for reading in readings]


def _bounds(limits: Limits) -> tuple[float | None, float | None]:
    low, high = limits.low, limits.high
    return (None if low is None else float(low), None if high is None else float(high))


def _predictive(values: list[float], limits: Limits) -> Predictive | None:
    return predictive_out_of_limits(
        values,
        [None] * len(values),
        *_bounds(limits),
        nominal=None if limits.nominal is None else float(limits.nominal),
        logarithmic=limits.unit.logarithmic,
    )


@dataclass(frozen=True)
class AttributeAnswer:
    """The bounds of a share of failures, as text."""

    failures: int
    trials: int
    confidence_percent: float
    is_two_sided: bool
    estimate: str
    lower: str
    upper: str


def answer_attribute(given: Given) -> AttributeAnswer:
    """Bound the true share of failures from typed counts."""
    failures, trials = (_whole(given[name], name) for name in ("failures", "trials"))
    confidence = float(parse_number(given["confidence"], where="confidence"))
    bounds = attribute_bounds(failures, trials, confidence, given["sides"])
    return AttributeAnswer(
        failures=failures,
        trials=trials,
        confidence_percent=100 * confidence,
        is_two_sided=given["sides"] == "two",
        estimate=f"{bounds.estimate:.4g}",
        lower=f"{bounds.lower:.4g}",
        upper=f"{bounds.upper:.4g}",
    )


def _whole(text: str, where: str) -> int:
    number = parse_number(text, where=where)
    if number != number.to_integral_value() or not 0 <= number <= 10**18:
        raise SampleError(f"{text!r} is no count.", given=text, allowed="whole numbers from 0", where=where)
    return int(number)
