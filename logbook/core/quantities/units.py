"""Units by name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType

from logbook.core.errors import QuantityError
from logbook.core.quantities.decimals import EXACT
from logbook.core.quantities.spelling import cleaned, quoted, shown
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
    """Return the unit of this name, or None.

    Parameters
    ----------
    text : str
        In one spelling, see `cleaned`.

    Returns
    -------
    Unit or None
        None where nobody knows the name.
    """
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
    if isinstance(text, str):
        exact = _NAMES.get(text)
        if exact is not None:
            return exact
        if text.strip(" ") == "":
            return DIMENSIONLESS
    plain = cleaned(text, where="unit", longest=LONGEST_UNIT)
    found = find_unit(plain)
    if found is None:
        raise unknown_unit(plain, where="unit")
    return found


def unknown_unit(text: str, *, where: str) -> QuantityError:
    """Return the error for a unit nobody knows, with a hint where the slip is a common one.

    Parameters
    ----------
    text : str
        What was given as a unit.
    where : str
        Name of the field, for the message.

    Returns
    -------
    QuantityError
        To be raised by the caller.
    """
    hint = ""
    if text.startswith("K") and find_unit("k" + text[1:]) is not None:
        hint = f" Kilo is a small k: k{text[1:]}."
    elif likely := _of_other_case(text):
        hint = f" {likely} is: small and capital letters count."
    return QuantityError(
        f"{quoted(text)} is not a unit the logbook knows.{hint}",
        given=shown(text),
        allowed="a unit such as V, mA, kΩ, MHz, µVrms, dBFS, %, ppm; m is milli and M is mega",
        where=where,
    )


def _of_other_case(text: str) -> str:
    """Return the one unit that differs in the case of letters only, but not in its prefix: m is no M."""
    alike = {
        unit.symbol
        for name, unit in _NAMES.items()
        if name.lower() == text.lower() and (len(name) == 1 or name[0] == text[0] or name[0] not in "mM")
    }
    return alike.pop() if len(alike) == 1 else ""


def as_unit(unit: Unit | str) -> Unit:
    """Return the unit itself, or the unit of that name.

    Parameters
    ----------
    unit : Unit or str
        A unit or its name.

    Returns
    -------
    Unit
        The unit.

    Raises
    ------
    QuantityError
        When nobody knows the name.
    """
    return unit if isinstance(unit, Unit) else unit_named(unit)


def with_prefix(prefix: str, unit: Unit) -> Unit | None:
    """Return the prefixed unit of the same root.

    Parameters
    ----------
    prefix : str
        An SI prefix sign, with µ for micro; empty for none.
    unit : Unit
        Any unit; its own prefix does not count.

    Returns
    -------
    Unit or None
        None where that prefix is not used with the unit.
    """
    return _FAMILIES.get(unit.root, {}).get(prefix)


def engineering_family(unit: Unit) -> tuple[Unit, ...]:
    """Return the units of the same root with prefixes in steps of a thousand.

    Parameters
    ----------
    unit : Unit
        Any unit; its own prefix does not count.

    Returns
    -------
    tuple of Unit
        Smallest first; only the unit itself where it takes no prefix.
    """
    return _engineering_family(unit.root)


@lru_cache
def _engineering_family(root: str) -> tuple[Unit, ...]:
    family = _FAMILIES.get(root, {})
    return tuple(family[prefix] for prefix in ENGINEERING_PREFIXES if prefix in family)
