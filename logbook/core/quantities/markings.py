"""Part values with the tolerance letter they may carry: 4k7J, 100nK, 4p7C."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from logbook.core.errors import QuantityError
from logbook.core.quantities.conversion import mismatch
from logbook.core.quantities.decimals import EXACT
from logbook.core.quantities.reading import PART_KINDS, expected_unit, read_value
from logbook.core.quantities.spelling import cleaned
from logbook.core.quantities.tolerance_letters import ABSOLUTE_PF, tolerance_of_letter
from logbook.core.quantities.units import Unit, unit_named

_TEN_PF = Decimal("1e-11")
_PF = Decimal("1e-12")


@dataclass(frozen=True, slots=True)
class MarkedValue:
    """What a part's marking says, in the base unit.

    Parameters
    ----------
    value : decimal.Decimal
        Nominal value in `unit`.
    unit : Unit
        Base unit.
    low, high : decimal.Decimal or None
        Band of the marked tolerance; both None where none is marked.
    text : str
        The marking as typed.
    tolerance_percent : decimal.Decimal or None
        The tolerance where it is symmetric and in percent.
    """

    value: Decimal
    unit: Unit
    low: Decimal | None
    high: Decimal | None
    text: str
    tolerance_percent: Decimal | None = None

    def __post_init__(self) -> None:
        if (self.low is None) != (self.high is None):
            raise QuantityError("A marked band has two ends.", given=self.text)
        if self.low is not None and self.high is not None and not self.low <= self.value <= self.high:
            raise QuantityError("A marked band holds its nominal value.", given=self.text)


def marked_value(value: Decimal, unit: Unit, letter: str, text: str) -> MarkedValue:
    """Return a part value with the band its tolerance letter stands for.

    Parameters
    ----------
    value : decimal.Decimal
        Nominal in the base unit.
    unit : Unit
        Base unit: Ω, F or H.
    letter : str
        Tolerance letter, or empty.
    text : str
        The marking as typed.

    Returns
    -------
    MarkedValue
        In the base unit; below 10 pF the letters B C D F G are absolute.

    Raises
    ------
    PreferredValueError
        When the letter is no tolerance letter.

    References
    ----------
    IEC 60062:2016, tolerance letter code (from memory).

    Examples
    --------
    >>> marked_value(Decimal(1000), unit_named("Ω"), "F", "1k0F").low
    Decimal('990.00')
    """
    if not letter:
        return MarkedValue(value, unit, None, None, text)
    if unit.base == "F" and value < _TEN_PF and letter in ABSOLUTE_PF:
        offset = EXACT.multiply(ABSOLUTE_PF[letter], _PF)
        return MarkedValue(value, unit, EXACT.subtract(value, offset), EXACT.add(value, offset), text)
    tolerance = tolerance_of_letter(letter)
    size = EXACT.multiply(value.copy_abs(), Decimal("0.01"))
    low = EXACT.subtract(value, EXACT.multiply(size, tolerance.minus_percent))
    high = EXACT.add(value, EXACT.multiply(size, tolerance.plus_percent))
    is_symmetric = tolerance.minus_percent == tolerance.plus_percent
    return MarkedValue(value, unit, low, high, text, tolerance.plus_percent if is_symmetric else None)


def parse_marked_value(text: str, kind: str | None = None, *, where: str = "") -> MarkedValue:
    """Read a part's value with the tolerance letter it may carry.

    Parameters
    ----------
    text : str
        A letter code such as 4k7J, 100nK, 4p7C, or any quantity `parse_quantity` reads.
    kind : str or None
        Kind of quantity; None for text that carries its unit.
    where : str
        Name of the field, for the message.

    Returns
    -------
    MarkedValue
        In the base unit; without a letter there is no band.

    Raises
    ------
    QuantityError
        When the text cannot be read.
    UnitMismatchError
        When its unit does not belong to the kind.

    References
    ----------
    IEC 60062:2016, letter and digit code and tolerance letters.

    Examples
    --------
    >>> marked = parse_marked_value("4k7J", "resistance")
    >>> str(marked.low), str(marked.high)
    ('4465', '4935')
    """
    plain = cleaned(text, where=where)
    expected = expected_unit(None, kind, where)
    value, unit, letter = read_value(
        plain, expected, is_marking=kind is None or kind in PART_KINDS, where=where
    )
    if expected is not None and unit.base != expected.base:
        raise mismatch(unit, expected, where=where)
    return marked_value(EXACT.multiply(value, unit.factor), unit_named(unit.base), letter, text.strip())
