"""Units by name, and the conversions between them that are exact."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from logbook.core.errors import QuantityError, UnitMismatchError
from logbook.core.quantities.decimals import EXACT
from logbook.core.quantities.spelling import cleaned, quoted
from logbook.core.quantities.unit_table import (
    COUNT_WORDS,
    ENGINEERING_PREFIXES,
    PREFIX_EXPONENTS,
    ROWS,
    UnitRow,
)

LONGEST_UNIT = 24


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit a value can be given in; ``value_in_base = value * factor`` exactly.

    Parameters
    ----------
    symbol : str
        How the unit is printed, such as ``mV``; empty for a plain number.
    base : str
        Symbol of the unit it converts to, such as ``V``.
    factor : decimal.Decimal
        Size of this unit in the base unit, above 0.
    logarithmic : bool
        Whether the unit is a level in decibels.
    non_negative : bool
        Whether the quantity cannot be below 0 by its nature (rms, peak to peak, times, counts).
    root : str
        Symbol without its prefix, such as ``V``.
    """

    symbol: str
    base: str
    factor: Decimal
    logarithmic: bool = False
    non_negative: bool = False
    root: str = ""

    def __post_init__(self) -> None:
        if not self.factor.is_finite() or self.factor <= 0:
            raise QuantityError("The factor of a unit is above 0.", given=str(self.factor), where=self.symbol)

    @property
    def is_relative(self) -> bool:
        """Whether a tolerance in this unit is a share of the nominal value."""
        return self.symbol in {"%", "ppm", "ppb"}

    @property
    def is_count(self) -> bool:
        """Whether the unit counts things, so that only whole numbers make sense."""
        return self.symbol in COUNT_WORDS

    @property
    def name(self) -> str:
        """The symbol, or words for the unit that has none."""
        return self.symbol or "a plain number"


def _family_of(row: UnitRow) -> dict[str, Unit]:
    """Return the unit with each prefix it takes, keyed by prefix."""
    return {
        prefix: Unit(
            symbol=prefix + row.symbol,
            base=row.base,
            factor=EXACT.scaleb(row.factor, Decimal(PREFIX_EXPONENTS[prefix])),
            logarithmic=row.logarithmic,
            non_negative=row.non_negative,
            root=row.symbol,
        )
        for prefix in ("", *row.prefixes)
    }


def _spellings_of(row: UnitRow, family: Mapping[str, Unit]) -> dict[str, Unit]:
    return {
        sign + spelling: unit
        for prefix, unit in family.items()
        for sign in (("µ", "u") if prefix == "µ" else (prefix,))
        for spelling in (row.symbol, *row.spellings)
    }


_FAMILIES: Mapping[str, Mapping[str, Unit]] = MappingProxyType(
    {row.symbol: MappingProxyType(_family_of(row)) for row in ROWS}
)


def _all_names() -> dict[str, Unit]:
    names: dict[str, Unit] = {}
    for row in ROWS:
        names.update(_spellings_of(row, _FAMILIES[row.symbol]))
    # "min" is the minute, not the milli-inch: a unit's own name wins over a prefix with another unit.
    for row in ROWS:
        own = _FAMILIES[row.symbol][""]
        names.update(dict.fromkeys((row.symbol, *row.spellings), own))
    return names


_NAMES: Mapping[str, Unit] = MappingProxyType(_all_names())
DIMENSIONLESS = _NAMES[""]


def find_unit(text: str) -> Unit | None:
    """Return the unit of this name, or None; `text` is already in one spelling."""
    return _NAMES.get(text.replace(" /", "/").replace("/ ", "/"))


def unit_named(text: str) -> Unit:
    """Return the unit of this name.

    Parameters
    ----------
    text : str
        A unit as people write it: ``mV``, ``kohm``, ``uVrms``, ``nV/√Hz``; empty for a plain number.

    Returns
    -------
    Unit
        The unit; it prints in one spelling, whatever was typed.

    Raises
    ------
    QuantityError
        When the unit is not known. ``m`` and ``M`` are different and never guessed.

    References
    ----------
    SI Brochure, 9th ed. (2019), Table 7.

    Examples
    --------
    >>> unit_named("kohm").symbol, unit_named("uVrms").symbol
    ('kΩ', 'µVrms')
    """
    if isinstance(text, str) and text.strip(" ") == "":
        return DIMENSIONLESS
    plain = cleaned(text, where="unit", longest=LONGEST_UNIT)
    found = find_unit(plain)
    if found is None:
        raise unknown_unit(plain, where="unit")
    return found


def unknown_unit(text: str, *, where: str) -> QuantityError:
    """Return the error for a unit nobody knows, with a hint where the slip is a common one."""
    hint = ""
    if text.startswith("K") and find_unit("k" + text[1:]) is not None:
        hint = f" Kilo is a small k: k{text[1:]}."
    return QuantityError(
        f"{quoted(text)} is not a unit the logbook knows.{hint}",
        given=quoted(text),
        allowed="a unit such as V, mA, kΩ, MHz, µVrms, dBFS, %, ppm; m is milli and M is mega",
        where=where,
    )


def as_unit(unit: Unit | str) -> Unit:
    """Return the unit itself, or the unit of that name."""
    return unit if isinstance(unit, Unit) else unit_named(unit)


def with_prefix(prefix: str, unit: Unit) -> Unit | None:
    """Return the prefixed unit of the same root, or None where that prefix is not used with it."""
    return _FAMILIES.get(unit.root, {}).get(prefix)


def engineering_family(unit: Unit) -> tuple[Unit, ...]:
    """Return the units of the same root with prefixes in steps of a thousand, smallest first."""
    family = _FAMILIES.get(unit.root, {})
    return tuple(family[prefix] for prefix in ENGINEERING_PREFIXES if prefix in family)


def mismatch(given: Unit, wanted: Unit, *, where: str = "") -> UnitMismatchError:
    """Return the error for two units that do not convert, naming both and why."""
    return UnitMismatchError(
        f"{given.name} cannot be converted into {wanted.name}{_why_not(given, wanted)}.",
        given=given.symbol,
        allowed=f"a unit that converts into {wanted.name}",
        where=where,
    )


def _why_not(given: Unit, wanted: Unit) -> str:
    bases = {given.base, wanted.base}
    if bases == {"K", "°C"}:
        return ": K is for temperature differences, °C for temperatures"
    if given.logarithmic != wanted.logarithmic:
        return ": a level in decibels needs its reference, so convert it before entering"
    if given.logarithmic:
        return ": the two levels have different references"
    if bases <= {"V", "Vrms", "Vpp", "Vpk"} or bases <= {"A", "Arms", "App"}:
        return ": that depends on the wave form"
    return ""


def convert(value: Decimal, given: Unit, wanted: Unit, *, where: str = "") -> Decimal:
    """Convert a value between two units in exact decimal arithmetic.

    Parameters
    ----------
    value : decimal.Decimal
        Value in the unit `given`.
    given, wanted : Unit
        Units of one base.
    where : str
        Name of the field, for the message.

    Returns
    -------
    decimal.Decimal
        Value in the unit `wanted`; exact, except that divisions by 60, by 3 or by π end after 250 digits.

    Raises
    ------
    UnitMismatchError
        When the two units have different bases; the message names both.

    Examples
    --------
    >>> convert(Decimal("3465"), unit_named("mV"), unit_named("V"))
    Decimal('3.465')
    """
    if given.base != wanted.base:
        raise mismatch(given, wanted, where=where)
    if given.factor == wanted.factor:
        return value
    return EXACT.divide(EXACT.multiply(value, given.factor), wanted.factor)
