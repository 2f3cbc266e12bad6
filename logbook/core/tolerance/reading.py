"""Reading a part as people and scripts write it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from logbook.core.errors import CoreError, QuantityError, ToleranceError
from logbook.core.limits.tolerances import read_asymmetric
from logbook.core.quantities import (
    DIMENSIONLESS,
    EXACT,
    KINDS,
    Quantity,
    Unit,
    as_unit,
    canonical_text,
    cleaned,
    decimal_of,
    parse_marked_value,
    parse_quantity,
)
from logbook.core.quantities.spelling import quoted, shown
from logbook.core.tolerance.parts import Part, TemperatureRange

_KEYS = ("nominal", "tolerance", "low", "high", "unit", "tempco", "temperature")
_TEMPERATURE_KEYS = ("low", "high", "reference")
_SIGN = re.compile(r"(?<![eE])([+-])")
_BOTH_WAYS = re.compile(r"^(?:±|\+/-|\+-)\s*")
_PART_KINDS = ("resistance", "capacitance", "inductance")

Band = tuple[Decimal, Decimal]


def parse_part(name: str, given: Any) -> Part:
    """Read one part of a formula.

    Parameters
    ----------
    name : str
        As in the formula.
    given : mapping, str, int, float or decimal.Decimal
        A bare number or text is an exact value (or a marking with its tolerance letter, 4k7J). A mapping
        has ``nominal`` with ``tolerance`` ("1 %", "+2 % / -1.5 %", "200 ppm", "10 mV", "1.5 % + 10 mV"), or
        ``low`` and ``high``; optional ``unit`` for bare numbers, ``tempco`` ("50 ppm/K") with
        ``temperature`` (``low``, ``high``, ``reference`` in °C, reference 25 when left out).

    Returns
    -------
    Part
        In the base unit of what was typed.

    Raises
    ------
    ToleranceError
        When something is missing, contradicts itself, or has an unknown name.
    QuantityError, UnitMismatchError, LimitError
        When a number, a unit or a tolerance cannot be read.

    Notes
    -----
    A prefix without a unit (4k7, 100n) scales a plain number. Without ``nominal`` the middle of ``low`` and
    ``high`` is taken.

    Examples
    --------
    >>> part = parse_part("vref", {"nominal": "0.8 V", "tolerance": "+2 % / -1.5 %"})
    >>> part.low, part.nominal, part.high, part.unit
    (0.788, 0.8, 0.816, 'V')
    """
    if not isinstance(given, Mapping):
        given = {"nominal": given}
    present = {key: value for key, value in given.items() if value is not None and value != ""}
    _check_keys(present, _KEYS, name)
    unit = as_unit(present["unit"]) if "unit" in present else None
    nominal, (low, high) = _values(present, unit, name)
    factor = nominal.unit.factor
    return Part(
        name,
        float(EXACT.multiply(nominal.value, factor)),
        float(EXACT.multiply(low, factor)),
        float(EXACT.multiply(high, factor)),
        nominal.unit.base,
        _tempco(present.get("tempco"), name),
        _temperature(present.get("temperature"), name),
    )


def _error(name: str, reason: str, given: object, allowed: str) -> ToleranceError:
    return ToleranceError(f"{name}: {reason}.", given=shown(given), allowed=allowed, where=name)


def _check_keys(given: Mapping[str, Any], allowed: tuple[str, ...], name: str) -> None:
    unknown = [str(key) for key in given if key not in allowed]
    if unknown:
        raise _error(name, f"{quoted(unknown[0])} is not known", unknown[0], ", ".join(allowed))


def _values(given: Mapping[str, Any], unit: Unit | None, name: str) -> tuple[Quantity, Band]:
    ends = ("low" in given) + ("high" in given)
    if ends == 1 or (ends and "tolerance" in given):
        raise _error(
            name, "give a tolerance, or both low and high", ", ".join(given), "tolerance, or low and high"
        )
    if ends:
        return _from_ends(given, unit, name)
    if "nominal" not in given:
        raise _error(name, "the nominal value is missing", "", "nominal with a tolerance, or low and high")
    nominal, marked = _nominal(given["nominal"], unit, name)
    if "tolerance" in given:
        return nominal, _tolerance_band(nominal, given["tolerance"], name)
    return nominal, marked


def _from_ends(given: Mapping[str, Any], unit: Unit | None, name: str) -> tuple[Quantity, Band]:
    low, high = (_number(given[end], unit, name) for end in ("low", "high"))
    own = next((q.unit for q in (low, high) if q.unit != DIMENSIONLESS), DIMENSIONLESS)
    if "nominal" in given:
        nominal = _number(given["nominal"], unit, name)
        own = nominal.unit if nominal.unit != DIMENSIONLESS else own
        centre = _in_unit(nominal, own)
    else:
        centre = EXACT.divide(EXACT.add(_in_unit(low, own), _in_unit(high, own)), Decimal(2))
    return Quantity(centre, own, ""), (_in_unit(low, own), _in_unit(high, own))


def _in_unit(quantity: Quantity, unit: Unit) -> Decimal:
    """Return the value in a unit; a number typed without one is in the unit of its neighbours."""
    return quantity.value if quantity.unit == DIMENSIONLESS else quantity.to(unit)


def _number(given: Any, unit: Unit | None, name: str) -> Quantity:
    if not isinstance(given, str):
        return Quantity(decimal_of(given, where=name), unit or DIMENSIONLESS, "")
    if unit is not None:
        return parse_quantity(given, unit=unit, where=name)
    try:
        return parse_quantity(given, where=name)
    except QuantityError as error:
        try:
            return parse_quantity(given, unit=DIMENSIONLESS, where=name)
        except CoreError:
            raise error from None


def _nominal(given: Any, unit: Unit | None, name: str) -> tuple[Quantity, Band]:
    """Return the nominal value with the band of its marking, which is empty without a tolerance letter."""
    try:
        found = _number(given, unit, name)
        return found, (found.value, found.value)
    except QuantityError as error:
        for kind in _PART_KINDS:
            if unit is None or KINDS[kind].base == unit.base:
                band = _marked(given, kind)
                if band is not None:
                    return band
        raise error from None


def _marked(given: str, kind: str) -> tuple[Quantity, Band] | None:
    try:
        marked = parse_marked_value(given, kind)
    except CoreError:
        return None
    if marked.low is None or marked.high is None:
        return None
    return Quantity(marked.value, marked.unit, marked.text), (marked.low, marked.high)


def _tolerance_band(nominal: Quantity, given: Any, name: str) -> Band:
    text = given if isinstance(given, str) else canonical_text(decimal_of(given, where=name))
    plus, minus = _sides(cleaned(text, where=name), name)
    low = high = nominal.value
    for term in plus:
        high = EXACT.add(high, _offset(nominal, term, name))
    for term in minus:
        low = EXACT.subtract(low, _offset(nominal, term, name))
    return low, high


def _offset(nominal: Quantity, term: str, name: str) -> Decimal:
    limits = read_asymmetric(nominal, term, term, None, name)
    assert limits.high is not None  # noqa: S101 - a tolerance around a nominal has both sides
    return EXACT.subtract(limits.high, nominal.value)


def _sides(plain: str, name: str) -> tuple[list[str], list[str]]:
    """Split a tolerance into what is added above and below; 1.5 % + 10 mV is added on both sides."""
    body = _BOTH_WAYS.sub("", plain).strip("() ")
    first, *rest = _SIGN.split(body)
    signs, terms = rest[::2], [term.strip(" /") for term in rest[1::2]]
    if first.strip() and all(sign == "+" for sign in signs) and all(terms):
        both = [first.strip(), *terms]
        return both, both
    if not first.strip() and sorted(signs) == ["+", "-"] and all(terms):
        pair = _with_shared_unit(dict(zip(signs, terms, strict=True)))
        return [pair["+"]], [pair["-"]]
    raise _error(name, "the tolerance cannot be read", plain, "such as 1 %, +2 % / -1.5 %, 10 mV, 50 ppm")


def _with_shared_unit(pair: dict[str, str]) -> dict[str, str]:
    """In +2 / -1.5 % the unit written once counts for both."""
    for here, there in (("+", "-"), ("-", "+")):
        written = re.fullmatch(r"[0-9.]+(?:[eE][+-]?[0-9]+)? ?(\D.*)", pair[there])
        if written and re.fullmatch(r"[0-9.]+(?:[eE][+-]?[0-9]+)?", pair[here]):
            pair[here] = f"{pair[here]} {written.group(1)}"
    return pair


def _tempco(given: Any, name: str) -> float:
    if given is None:
        return 0.0
    if not isinstance(given, str):
        return float(abs(decimal_of(given, where=name)))
    plain = _BOTH_WAYS.sub("", cleaned(given, where=name))
    return float(abs(parse_quantity(plain, unit="ppm/K", where=name).to("ppm/K")))


def _temperature(given: Any, name: str) -> TemperatureRange | None:
    if given is None:
        return None
    if not isinstance(given, Mapping) or "low" not in given or "high" not in given:
        raise _error(name, "a temperature range has low and high", given, "low, high, reference in °C")
    present = {key: value for key, value in given.items() if value is not None and value != ""}
    _check_keys(present, _TEMPERATURE_KEYS, name)
    degrees = {key: float(_number(value, as_unit("°C"), name).to("°C")) for key, value in present.items()}
    return TemperatureRange(**degrees)
