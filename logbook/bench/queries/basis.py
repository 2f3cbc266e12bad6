"""Whether the limits of targets are still what the calculation behind them gives."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from logbook.bench.models import Target, TargetIssue
from logbook.bench.translate import limits_of
from logbook.calculations.choices import Method
from logbook.calculations.models import Calculation
from logbook.calculations.queries import BandLimits, band_limits
from logbook.common.errors import InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.limits import format_limits
from logbook.core.quantities import convert, unit_named


@dataclass(frozen=True)
class LimitsBasis:
    """The band behind an issue's limits: as issued and as it is now; ``now`` is None where it is none."""

    calculation: Calculation
    band: str
    issued: str
    now: BandLimits | None
    has_moved: bool


@dataclass(frozen=True)
class BasedTarget:
    """A target whose newest issue takes its limits from a calculation."""

    target: Target
    issue: TargetIssue
    basis: LimitsBasis


def basis_of(issue: TargetIssue) -> LimitsBasis | None:
    """Return the calculation behind the limits of an issue; None where there is none. At most one query."""
    calculation = issue.calculation
    if calculation is None:
        return None
    limits = limits_of(issue)
    try:
        now = band_limits(calculation, issue.calculation_band)
    except InvalidInputError:
        now = None
    return LimitsBasis(
        calculation=calculation,
        band=Method(issue.calculation_band).label,
        issued=format_limits(limits) if limits else issue.limits_text,
        now=now,
        has_moved=now is None or not _is_same(issue, now),
    )


def targets_based_on(calculation: Calculation) -> list[BasedTarget]:
    """Return the targets whose newest issue takes its limits from the calculation. Two queries."""
    targets = Target.objects.filter(issues__calculation=calculation).distinct().prefetch_related("issues")
    based = []
    for target in targets.order_by("position", "key"):
        issue = max(target.issues.all(), key=lambda one: one.number)
        if issue.calculation_id == calculation.pk:
            issue.calculation = calculation
            basis = basis_of(issue)
            assert basis is not None  # noqa: S101 - the issue has a calculation
            based.append(BasedTarget(target, issue, basis))
    return based


def _is_same(issue: TargetIssue, now: BandLimits) -> bool:
    unit = unit_named(now.unit)
    try:
        kept = [
            convert(Decimal(text), unit_named(issue.unit), unit) for text in (issue.low, issue.high) if text
        ]
    except CoreError:
        return False
    return kept == [Decimal(now.low), Decimal(now.high)]
