"""The limits of a target as a value that cannot contradict itself."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from logbook.core.errors import LimitError
from logbook.core.quantities import EXACT, Unit, as_unit, canonical_text, convert

LimitsKind = Literal["number", "count", "yes_no"]


@dataclass(frozen=True, slots=True)
class Limits:
    """Lower and upper bound in one unit; the bounds belong to what they limit.

    Parameters
    ----------
    kind : {"number", "count", "yes_no"}
        What is judged: a number, a count of things or of trials, or an answer.
    low, high : decimal.Decimal or None
        Bounds in `unit`, at least one for numbers and counts; ``low <= high``.
    unit : Unit
        Unit of the bounds.
    nominal : decimal.Decimal or None
        Nominal value in `unit`, where one was stated.
    trials : int or None
        Number of trials of a count such as 100 of 100, above 0.
    expected : bool or None
        The answer wanted, for ``yes_no`` only.
    text : str
        The limits as typed.
    """

    kind: LimitsKind
    low: Decimal | None
    high: Decimal | None
    unit: Unit
    nominal: Decimal | None = None
    trials: int | None = None
    expected: bool | None = None
    text: str = ""

    def __post_init__(self) -> None:
        if self.kind not in {"number", "count", "yes_no"}:
            raise self._error("That is no kind of limits", allowed="number, count, yes_no")
        numbers = [number for number in (self.low, self.high, self.nominal) if number is not None]
        if not all(number.is_finite() for number in numbers):
            raise self._error("A limit is a finite number")
        if self.kind == "yes_no":
            if self.expected is None or numbers or self.trials is not None:
                raise self._error("Yes or no has one expected answer and no bounds")
            return
        self._check_bounds()
        if self.kind == "count":
            self._check_count()

    def _check_bounds(self) -> None:
        if self.expected is not None:
            raise self._error("Only yes or no has an expected answer")
        if self.low is None and self.high is None:
            raise self._error("Limits need a lower or an upper bound")
        if self.low is not None and self.high is not None and self.low > self.high:
            low, high = canonical_text(self.low), canonical_text(self.high)
            raise self._error(
                f"The lower limit {low} is above the upper limit {high}",
                allowed="the lower limit first; on a negative rail that is the more negative one",
            )
        if self.trials is not None and self.kind != "count":
            raise self._error("Only a count has trials")

    def _check_count(self) -> None:
        for bound in (self.low, self.high):
            if bound is not None and (bound < 0 or bound != bound.to_integral_value()):
                raise self._error("A count is a whole number, 0 or more")
        if self.trials is not None and self.trials < 1:
            raise self._error("A count of trials has at least one trial")
        if self.trials is not None and self.high is not None and self.high > self.trials:
            raise self._error(f"No more than {self.trials} of {self.trials} can be right")

    def _error(self, reason: str, allowed: str = "") -> LimitError:
        return LimitError(f"{reason}.", given=self.text, allowed=allowed, where="limits")

    @property
    def is_one_sided(self) -> bool:
        """Whether exactly one bound is set."""
        return (self.low is None) != (self.high is None)

    @property
    def width(self) -> Decimal | None:
        """Upper minus lower bound in `unit`, exact; None for one-sided limits and yes or no."""
        if self.low is None or self.high is None:
            return None
        return EXACT.subtract(self.high, self.low)

    def in_unit(self, unit: Unit | str) -> Limits:
        """Return the same limits in another unit of the same base.

        Parameters
        ----------
        unit : Unit or str
            The unit wanted.

        Returns
        -------
        Limits
            Bounds and nominal converted exactly; yes or no is returned as it is.

        Raises
        ------
        UnitMismatchError
            When the units do not convert into each other.
        """
        wanted = as_unit(unit)
        if self.kind == "yes_no":
            return self

        def converted(value: Decimal | None) -> Decimal | None:
            return None if value is None else convert(value, self.unit, wanted, where="limits")

        return replace(
            self,
            low=converted(self.low),
            high=converted(self.high),
            nominal=converted(self.nominal),
            unit=wanted,
        )
