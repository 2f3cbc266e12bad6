"""Reading saved calculations, and their bands as limits."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from typing import Any

from django.db.models import QuerySet

from logbook.calculations.choices import Method
from logbook.calculations.models import Calculation
from logbook.calculations.translate import soundness_of
from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.common.models import ChangeRecord
from logbook.core.limits import limits_from_bounds
from logbook.core.quantities import canonical_text, without_trailing_zeros
from logbook.projects.models import Project

# The search for extremes is right to 1e-9; what lies below that is rounding.
SURE_DIGITS = 8
STEPS_OF_WIDTH = 4


@dataclass(frozen=True)
class BandLimits:
    """A band of a calculation as the limits of a target."""

    low: str
    high: str
    nominal: str
    unit: str
    text: str
    note: str


def calculations_of(project: Project) -> QuerySet[Calculation]:
    """Return the calculations of a project by key. One query."""
    return Calculation.objects.filter(project=project).select_related("changed_by").order_by("key")


def calculation_of(project: Project, key: str) -> Calculation:
    """Return the calculation with ``key``."""
    found = calculations_of(project).filter(key=key).first()
    if found is None:
        message = f"{project} has no calculation {key!r}"
        raise NotFoundError(message)
    return found


def calculation_named(project: Project, key: str, *, field: str = "calculation") -> Calculation:
    """Return the calculation a write names; the error names the keys there are."""
    found = calculations_of(project).filter(key=key).first()
    if found is None:
        keys = ", ".join(calculations_of(project).values_list("key", flat=True)[:50]) or "none yet"
        raise InvalidInputError.of(field, f"no calculation {key!r} here", given=key, allowed=keys)
    return found


def changes_of_calculation(calculation: Calculation) -> QuerySet[ChangeRecord]:
    """Return what was changed on a calculation, newest first. One query."""
    kind = str(Calculation._meta.verbose_name)
    return (
        ChangeRecord.objects.filter(kind=kind, object_id=calculation.pk)
        .select_related("actor")
        .order_by("-id")
    )


def band_to_take(calculation: Calculation, band: str) -> BandLimits:
    """Return a band that may become limits; ``band_limits`` also gives one that no longer may.

    Raises
    ------
    InvalidInputError
        As for ``band_limits``, and where the root sum of squares is not usable.
    """
    limits = band_limits(calculation, band)
    problem = soundness_of(calculation).linear_problem if band == Method.ROOT_SUM_SQUARE else ""
    if problem:
        others = ", ".join(method for method in Method.values if method != Method.ROOT_SUM_SQUARE)
        message = f"not usable here: {problem}"
        raise InvalidInputError.of("calculation_band", message, given=band, allowed=others)
    return limits


def band_limits(calculation: Calculation, band: str) -> BandLimits:
    """Return a band as limits, rounded outwards to a ten-thousandth of its width or less.

    Raises
    ------
    InvalidInputError
        There is no such band, or it has no width that a reading could keep.
    """
    if band not in Method.values:
        allowed = ", ".join(Method.values)
        raise InvalidInputError.of("calculation_band", "there is no such band", given=band, allowed=allowed)
    low, high, nominal = (
        _sure(text) for text in (*_ends(calculation.bands, band), calculation.bands["nominal"])
    )
    if not low < high:
        message = f"the band of {calculation.key} has no width: none of its parts has a tolerance"
        raise InvalidInputError.of("calculation", message, given=calculation.key)
    step = Decimal(1).scaleb((high - low).adjusted() - STEPS_OF_WIDTH + 1)
    low, high, nominal = (
        without_trailing_zeros(number.quantize(step, rounding))
        for number, rounding in ((low, ROUND_FLOOR), (high, ROUND_CEILING), (nominal, ROUND_HALF_EVEN))
    )
    unit = calculation.unit
    return BandLimits(
        low=canonical_text(low),
        high=canonical_text(high),
        nominal=canonical_text(nominal) if low <= nominal <= high else "",
        unit=unit,
        text=limits_from_bounds(low, high, unit=unit or None).text,
        note=f"calculation {calculation.key}, band {Method(band).label}, version {calculation.version}",
    )


def _ends(bands: dict[str, Any], band: str) -> tuple[str, str]:
    return bands[band]["low"], bands[band]["high"]


def _sure(text: str) -> Decimal:
    return Decimal(f"{Decimal(text):.{SURE_DIGITS}g}")
