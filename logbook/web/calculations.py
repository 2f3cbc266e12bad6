"""What the calculator pages compute, from typed text to answers a page can show.

A calculator judges exactly as a stored reading would be judged: it builds the same rows, unsaved.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from logbook.bench.choices import TargetKind
from logbook.bench.commands.values import read_coverage_factor, read_uncertainty, read_value
from logbook.bench.models import Measurement, TargetIssue
from logbook.bench.translate import judgement_of
from logbook.core.limits import Limits, format_limits, parse_limits
from logbook.core.preferred import SERIES_NAMES, PreferredValue, nearest_value
from logbook.core.quantities import (
    MarkedValue,
    Unit,
    canonical_text,
    format_quantity,
    parse_marked_value,
    parse_number,
    parse_quantity,
)
from logbook.core.uncertainty import Accuracy, Contribution, UncertaintyResult, evaluate_reading
from logbook.core.verdict import Judgement

KIND_OF_LIMITS = {"number": TargetKind.NUMBER, "count": TargetKind.COUNT, "yes_no": TargetKind.YES_NO}

Given = Mapping[str, Any]


@dataclass(frozen=True)
class VerdictAnswer:
    """A judged value with the unsaved rows a limit strip is drawn from."""

    judgement: Judgement
    limits_text: str
    issue: TargetIssue
    measurement: Measurement


def answer_verdict(given: Given) -> VerdictAnswer:
    """Judge a typed value by typed limits."""
    limits = parse_limits(given["limits"], where="limits")
    issue = _issue_for(limits, given["rule"])
    measurement = _measurement_for(issue, given)
    judgement = judgement_of(issue, measurement)
    measurement.verdict = judgement.verdict or ""
    return VerdictAnswer(judgement, format_limits(limits), issue, measurement)


def _issue_for(limits: Limits, rule: str) -> TargetIssue:
    def text(bound: Decimal | None) -> str:
        return "" if bound is None else canonical_text(bound)

    return TargetIssue(
        kind=KIND_OF_LIMITS[limits.kind],
        limits_text=limits.text,
        low=text(limits.low),
        high=text(limits.high),
        nominal=text(limits.nominal),
        unit=limits.unit.symbol,
        rule=rule,
        points=[""],
    )


def _measurement_for(issue: TargetIssue, given: Given) -> Measurement:
    read = read_value(given["value"], "", issue)
    value = read.value if read.value is not None else Decimal(0)
    measurement = Measurement(
        outcome=read.outcome,
        text=read.text,
        value=canonical_text(value),
        unit=read.unit.symbol,
        value_base=float(value * read.unit.factor),
        trials=read.trials,
    )
    if given["expanded_uncertainty"]:
        expanded = read_uncertainty(given["expanded_uncertainty"], read.unit, read.value)
        measurement.expanded_uncertainty = canonical_text(expanded)
        measurement.coverage_factor = canonical_text(read_coverage_factor(given["coverage_factor"]))
        measurement.uncertainty_base = float(expanded * read.unit.factor)
        measurement.degrees_of_freedom = given.get("degrees_of_freedom")
    return measurement


@dataclass(frozen=True)
class BudgetLine:
    """One contribution as text."""

    name: str
    half_width: str
    distribution: str
    divisor: str
    standard: str
    degrees_of_freedom: str
    share: str


@dataclass(frozen=True)
class UncertaintyAnswer:
    """The uncertainty of a typed reading, and the unit its plain numbers are in."""

    result: UncertaintyResult
    unit: str
    reading: Decimal
    shown: str
    standard: str
    budget: tuple[BudgetLine, ...]


def answer_uncertainty(given: Given) -> UncertaintyAnswer:
    """Evaluate the uncertainty of a typed reading."""
    reading = parse_quantity(given["reading"], where="reading")
    unit = reading.unit
    repeats = [parse_quantity(text, unit=unit, where="repeats").to(unit) for text in given["repeats"]]
    result = evaluate_reading(reading.value, _accuracy(given, unit), repeats=repeats)
    value = reading.value if result.mean is None else result.mean
    shown = format_quantity(value, unit, uncertainty=result.expanded_uncertainty)
    return UncertaintyAnswer(
        result=result,
        unit=unit.symbol,
        reading=value,
        shown=shown,
        standard=format_quantity(result.standard_uncertainty, unit, digits=4),
        budget=tuple(budget_line(line, unit) for line in result.budget),
    )


def budget_line(line: Contribution, unit: Unit) -> BudgetLine:
    """Return a contribution as text."""
    return BudgetLine(
        name=line.name,
        half_width=format_quantity(line.half_width_or_s, unit, digits=4),
        distribution=line.distribution,
        divisor=f"{line.divisor:.4f}",
        standard=format_quantity(line.standard_uncertainty, unit, digits=4),
        degrees_of_freedom="infinite" if line.degrees_of_freedom is None else f"{line.degrees_of_freedom:g}",
        share=f"{100 * line.share:.1f} %",
    )


def _accuracy(given: Given, unit: Unit) -> Accuracy | None:
    def plain(name: str) -> Decimal | None:
        return parse_number(given[name], where=name) if given[name] else None

    def scaled(name: str) -> Decimal | None:
        return parse_quantity(given[name], unit=unit, where=name).to(unit) if given[name] else None

    parts = ("percent_of_reading", "percent_of_range", "counts", "resolution")
    if not any(given[name] for name in parts):
        return None
    return Accuracy(
        percent_of_reading=plain("percent_of_reading"),
        percent_of_range=plain("percent_of_range"),
        range_value=scaled("range_value"),
        counts=plain("counts"),
        resolution=scaled("resolution"),
        absolute=None,
    )


@dataclass(frozen=True)
class QuantityAnswer:
    """What a typed quantity or marking was read as."""

    marked: MarkedValue
    engineering: str
    base: str
    band: str


def answer_quantity(given: Given) -> QuantityAnswer:
    """Read a typed quantity."""
    marked = parse_marked_value(given["text"], given["kind"] or None, where="text")
    band = ""
    if marked.low is not None and marked.high is not None:
        low, high = (format_quantity(bound, marked.unit) for bound in (marked.low, marked.high))
        band = f"{low} to {high}"
    base = f"{canonical_text(marked.value)} {marked.unit.symbol}".rstrip()
    return QuantityAnswer(marked, format_quantity(marked.value, marked.unit), base, band)


@dataclass(frozen=True)
class SeriesLine:
    """A wanted value placed in one series, as text with its unit."""

    name: str
    nearest: str
    away: str
    below: str
    above: str
    usual_tolerance_percent: Decimal | None
    is_member: bool
    is_asked: bool


@dataclass(frozen=True)
class PreferredAnswer:
    """A wanted value placed in every series."""

    wanted: str
    asked: SeriesLine
    lines: tuple[SeriesLine, ...]


def answer_preferred(given: Given) -> PreferredAnswer:
    """Place a typed value in the series of preferred values."""
    kind = given["kind"] or None
    marked = parse_marked_value(given["value"], kind, where="value")
    lines = tuple(
        _series_line(name, nearest_value(marked.value, name), marked, asked=given["series"])
        for name in SERIES_NAMES
    )
    chosen = next(line for line in lines if line.is_asked)
    return PreferredAnswer(format_quantity(marked.value, marked.unit), chosen, lines)


def _series_line(name: str, found: PreferredValue, marked: MarkedValue, *, asked: str) -> SeriesLine:
    # Series up to E24 have two digits, the finer ones three (IEC 60063:2015).
    digits = 2 if int(name[1:]) <= 24 else 3
    nearest, below, above = (
        format_quantity(value, marked.unit, digits=digits)
        for value in (found.nearest, found.below, found.above)
    )
    return SeriesLine(
        name=name,
        nearest=nearest,
        away=f"{float(100 * (found.nearest / marked.value - 1)):+.2f} %",
        below=below,
        above=above,
        usual_tolerance_percent=found.usual_tolerance_percent,
        is_member=found.member,
        is_asked=name == asked,
    )
