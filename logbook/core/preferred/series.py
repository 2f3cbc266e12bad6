"""The E series by rule.

References
----------
IEC 60063:2015, Preferred number series for resistors and capacitors, Tables 1 and 2.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from types import MappingProxyType

from logbook.core.errors import PreferredValueError
from logbook.core.quantities import EXACT
from logbook.core.quantities.spelling import quoted, shown

# Members of E24 (by their place in it) and of E192 that differ from the rounded geometric value; the
# thinner series take every second, fourth, ... member and so inherit them (IEC 60063:2015).
_E24_EXCEPTIONS = {10: 27, 11: 30, 12: 33, 13: 36, 14: 39, 15: 43, 16: 47, 22: 82}
_E192_EXCEPTIONS = {185: 920}

# Tolerance commonly paired with a series: IEC 60063:2015 (informative), read in public texts only. E3 goes
# with tolerances wider than 20 %, so it has no number.
_USUAL_TOLERANCE: Mapping[str, Decimal | None] = MappingProxyType(
    {
        "E3": None,
        "E6": Decimal(20),
        "E12": Decimal(10),
        "E24": Decimal(5),
        "E48": Decimal(2),
        "E96": Decimal(1),
        "E192": Decimal("0.5"),
    }
)
SERIES_NAMES = tuple(_USUAL_TOLERANCE)


def checked_series(name: str) -> str:
    """Return the name of a series in its one spelling.

    Parameters
    ----------
    name : str
        E3, E6, E12, E24, E48, E96 or E192, in capitals or not.

    Returns
    -------
    str
        The name in capitals.

    Raises
    ------
    PreferredValueError
        For any other name.

    Examples
    --------
    >>> checked_series("e96")
    'E96'
    """
    plain = name.strip().upper() if isinstance(name, str) and len(name) <= 10 else ""
    if plain not in _USUAL_TOLERANCE:
        raise PreferredValueError(
            f"{quoted(name)} is not a series of preferred values.",
            given=shown(name),
            allowed=", ".join(SERIES_NAMES),
            where="series",
        )
    return plain


def _geometric(place: int, size: int, digits: int) -> int:
    exponent = EXACT.add(Decimal(digits - 1), EXACT.divide(Decimal(place), Decimal(size)))
    return int(EXACT.power(Decimal(10), exponent).to_integral_value(ROUND_HALF_UP))


@cache
def _full_series(size: int) -> tuple[int, ...]:
    digits, exceptions = (2, _E24_EXCEPTIONS) if size == 24 else (3, _E192_EXCEPTIONS)
    return tuple(exceptions.get(place) or _geometric(place, size, digits) for place in range(size))


def series_values(name: str) -> tuple[int, ...]:
    """Return the members of a series in one decade.

    Parameters
    ----------
    name : str
        E3, E6, E12, E24, E48, E96 or E192.

    Returns
    -------
    tuple of int
        Two digits (10 to 91) up to E24, three digits (100 to 988) above.

    Raises
    ------
    PreferredValueError
        When there is no such series.

    References
    ----------
    IEC 60063:2015, Tables 1 and 2.

    Examples
    --------
    >>> series_values("E6")
    (10, 15, 22, 33, 47, 68)
    """
    size = int(checked_series(name)[1:])
    full = _full_series(24 if size <= 24 else 192)
    return full[:: len(full) // size]


def usual_tolerance_percent(series: str) -> Decimal | None:
    """Return the tolerance commonly paired with a series.

    Parameters
    ----------
    series : str
        E3 to E192.

    Returns
    -------
    decimal.Decimal or None
        In percent; None for E3, whose parts are wider than 20 %.

    Raises
    ------
    PreferredValueError
        When there is no such series.

    References
    ----------
    IEC 60063:2015, informative relation of series and tolerance.

    Examples
    --------
    >>> usual_tolerance_percent("E96")
    Decimal('1')
    """
    return _USUAL_TOLERANCE[checked_series(series)]
