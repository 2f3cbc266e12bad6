"""The accuracy statement of an instrument, and the bound it sets around a reading."""

from __future__ import annotations

from dataclasses import dataclass, fields
from decimal import Context, Decimal

from logbook.core.errors import UncertaintyError

# Products and sums of what people type stay exact far below this many digits.
EXACT = Context(prec=100)


@dataclass(frozen=True, slots=True)
class Accuracy:
    """What a maker states about one range of an instrument; all in the unit of the reading.

    Parameters
    ----------
    percent_of_reading, percent_of_range : Decimal or None
        Percent, not below zero.
    range_value : Decimal or None
        Full range, above zero; needed by ``percent_of_range``.
    counts : Decimal or None
        Counts of the last digit, not below zero; needs ``resolution``.
    resolution : Decimal or None
        Display step, above zero.
    absolute : Decimal or None
        Fixed part of the statement, not below zero.

    Raises
    ------
    UncertaintyError
        If a part is negative or not finite, if a part lacks its companion, or if nothing is stated.

    Notes
    -----
    A statement in counts already contains the display step. Without counts, a given resolution is a
    contribution of its own.

    Examples
    --------
    >>> meter = Accuracy(percent_of_reading=Decimal("0.5"), counts=Decimal(2), resolution=Decimal("0.001"))
    >>> meter.bound(Decimal("5.000"))
    Decimal('0.027000')
    """

    percent_of_reading: Decimal | None = None
    percent_of_range: Decimal | None = None
    range_value: Decimal | None = None
    counts: Decimal | None = None
    resolution: Decimal | None = None
    absolute: Decimal | None = None

    def __post_init__(self) -> None:
        for field in fields(self):
            self._check_part(field.name)
        if self.counts is not None and self.resolution is None:
            raise _missing("resolution", "counts")
        if self.percent_of_range is not None and self.range_value is None:
            raise _missing("range_value", "percent_of_range")
        if not self._states_something():
            raise UncertaintyError(
                "The accuracy states nothing.",
                allowed="percent of reading, percent of range, counts, absolute or resolution",
                where="accuracy",
            )

    def _check_part(self, name: str) -> None:
        part: Decimal | None = getattr(self, name)
        if part is None:
            return
        has_to_be_positive = name in {"range_value", "resolution"}
        if not part.is_finite() or part < 0 or (has_to_be_positive and part == 0):
            allowed = "a finite number above 0" if has_to_be_positive else "a finite number, 0 or more"
            raise UncertaintyError(
                f"{name} is {part}, not {allowed}.", given=str(part), allowed=allowed, where=name
            )

    def _states_something(self) -> bool:
        parts = (self.percent_of_reading, self.percent_of_range, self.counts, self.resolution, self.absolute)
        return any(part is not None for part in parts)

    @property
    def bounds_the_reading(self) -> bool:
        """Whether there is a bound at all; a bare resolution sets none."""
        parts = (self.percent_of_reading, self.percent_of_range, self.counts, self.absolute)
        return any(part is not None for part in parts)

    @property
    def display_step(self) -> Decimal | None:
        """The resolution where it is not already contained in counts."""
        return self.resolution if self.counts is None else None

    def bound(self, reading: Decimal) -> Decimal:
        """Return the half-width of the interval the maker promises around a reading.

        Parameters
        ----------
        reading : Decimal
            The reading, finite; its absolute value counts.

        Returns
        -------
        Decimal
            Half-width in the unit of the reading, exact, not below zero.

        Raises
        ------
        UncertaintyError
            If the reading is not finite.

        Notes
        -----
        The parts are added linearly: a maker's statement is a worst case, not a standard deviation.

        References
        ----------
        Common practice of instrument data sheets.
        """
        if not reading.is_finite():
            raise UncertaintyError(
                f"The reading {reading} is not a finite number.",
                given=str(reading),
                allowed="a finite number",
                where="reading",
            )
        terms = (
            _product(self.percent_of_reading, EXACT.scaleb(EXACT.abs(reading), -2)),
            _product(self.percent_of_range, EXACT.scaleb(self.range_value or Decimal(0), -2)),
            _product(self.counts, self.resolution or Decimal(0)),
            self.absolute or Decimal(0),
        )
        total = Decimal(0)
        for term in terms:
            total = EXACT.add(total, term)
        return total


def _product(factor: Decimal | None, base: Decimal) -> Decimal:
    return Decimal(0) if factor is None else EXACT.multiply(factor, base)


def _missing(name: str, needed_by: str) -> UncertaintyError:
    return UncertaintyError(
        f"{needed_by} needs {name}, which is missing.",
        given=needed_by,
        allowed=f"{needed_by} with {name}",
        where=name,
    )
