"""A number with its unit and the text it was typed as."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from logbook.core.errors import QuantityError
from logbook.core.quantities.conversion import convert
from logbook.core.quantities.decimals import EXACT
from logbook.core.quantities.units import Unit, as_unit


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in the unit it was given in, with the text as typed.

    Parameters
    ----------
    value : decimal.Decimal
        Finite, in `unit`, with the digits that were typed.
    unit : Unit
        The unit as typed.
    text : str
        What was typed; the digits are information.
    """

    value: Decimal
    unit: Unit
    text: str

    def __post_init__(self) -> None:
        if not self.value.is_finite():
            raise QuantityError("A value is a finite number.", given=str(self.value), where=self.text)

    @property
    def base_value(self) -> Decimal:
        """The value in the base unit, exact."""
        return EXACT.multiply(self.value, self.unit.factor)

    @property
    def si(self) -> float:
        """The value in the base unit as a float, for sorting and statistics."""
        return float(self.base_value)

    def to(self, unit: Unit | str) -> Decimal:
        """Return the value in another unit of the same base.

        Parameters
        ----------
        unit : Unit or str
            The unit wanted.

        Returns
        -------
        decimal.Decimal
            Exact, see `convert`.

        Raises
        ------
        UnitMismatchError
            When the units do not convert into each other; the message names both.
        """
        return convert(self.value, self.unit, as_unit(unit))
