"""Reading limits: 3.3 V ± 5 %, 4.75..5.25 V, >= 90 dB, 0 errors, 100 of 100, yes."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal

from logbook.core.errors import LimitError
from logbook.core.limits.formatting import format_limits
from logbook.core.limits.limits import Limits
from logbook.core.limits.tolerances import read_asymmetric, read_nominal, read_symmetric
from logbook.core.quantities import (
    DIMENSIONLESS,
    Quantity,
    Unit,
    as_unit,
    canonical_text,
    cleaned,
    convert,
    decimal_of,
    parse_quantity,
)
from logbook.core.quantities.spelling import quoted

_ALLOWED = "such as 3.3 V ± 5 %, 4.75 V to 5.25 V, >= 90 dB, 0 errors, 100 of 100, yes"
_OF = re.compile(r"(≤|≥)? ?([0-9]{1,18}) of ([0-9]{1,18})")
_OF_RANGE = re.compile(r"([0-9]{1,18}) ?(?:to|…) ?([0-9]{1,18}) of ([0-9]{1,18})")
_RANGE = re.compile(r"\.{2,3}|…| to ")
_SIGNS = re.compile(r"(?<=[^eE])[+-]")
_DASH = re.compile("[–—]")
_BARE_NUMBER = re.compile(r"[+-]?[0-9.]+(?:[eE][+-]?[0-9]+)?")


def _refused(text: str, reason: str, where: str) -> LimitError:
    return LimitError(f"{quoted(text)} {reason}", given=text, allowed=_ALLOWED, where=where)


def _one_spelling(text: str, where: str) -> str:
    plain = cleaned(text, where=where)
    for written in ("+/-", "+-", "±"):
        plain = plain.replace(written, "±")
    return plain.replace("<=", "≤").replace("=<", "≤").replace(">=", "≥").replace("=>", "≥")


def parse_limits(
    text: str, *, unit: str | Unit | None = None, nominal: str | None = None, where: str = ""
) -> Limits:
    """Read limits as people write them.

    Parameters
    ----------
    text : str
        At most 100 characters, in one of the forms of the examples.
    unit : str, Unit or None
        Unit of bare numbers, which a written unit must convert into.
    nominal : str or None
        Nominal value, for a tolerance alone (± 5 %) and to be kept beside other forms.
    where : str
        Name of the field, for the message.

    Returns
    -------
    Limits
        Exact bounds in the unit as typed.

    Raises
    ------
    LimitError
        When the text has no such form, its bounds contradict each other, or it says < or >.
    QuantityError
        When a number or a unit in it cannot be read.
    UnitMismatchError
        When its units do not convert into each other or into `unit`.

    Notes
    -----
    Percent and ppm are shares of the absolute value of the nominal, so the lower limit of a negative rail
    is the more negative one. A tolerance alone without nominal lies around 0.

    Examples
    --------
    >>> limits = parse_limits("3.3 V ± 5 %")
    >>> str(limits.low), str(limits.high), limits.unit.symbol
    ('3.135', '3.465', 'V')
    >>> parse_limits("<= 20 mV").high
    Decimal('20')
    """
    plain = _one_spelling(text, where)
    expected = None if unit is None else as_unit(unit)
    stated = None if nominal is None else parse_quantity(nominal, unit=expected, where="nominal")
    read = _form_of(plain)
    limits = read(plain, expected, stated, where)
    return Limits(
        kind=limits.kind,
        low=limits.low,
        high=limits.high,
        unit=limits.unit,
        nominal=limits.nominal if stated is None else _nominal_in(stated, limits, where),
        trials=limits.trials,
        expected=limits.expected,
        text=text.strip(),
    )


def _nominal_in(stated: Quantity, limits: Limits, where: str) -> Decimal | None:
    if limits.kind == "yes_no":
        return None
    # A nominal typed without unit is in the unit of its limits.
    own = limits.unit if stated.unit == DIMENSIONLESS else stated.unit
    return convert(stated.value, own, limits.unit, where=where)


Form = Callable[[str, Unit | None, Quantity | None, str], Limits]


def _form_of(plain: str) -> Form:
    """Return the reader of the form the text has; the first that fits counts."""
    if plain.lower() in {"yes", "no"}:
        return _read_answer
    if _OF.fullmatch(plain) or _OF_RANGE.fullmatch(plain):
        return _read_trials
    if plain[0] in "≤≥<>":
        return _read_one_sided
    if "±" in plain:
        return _read_tolerance
    if _RANGE.search(plain):
        return _read_range
    return _read_signed if _SIGNS.search(plain) or _DASH.search(plain) else _read_single


def _read_answer(plain: str, _expected: Unit | None, _stated: Quantity | None, _where: str) -> Limits:
    return Limits("yes_no", None, None, DIMENSIONLESS, expected=plain.lower() == "yes")


def _read_trials(plain: str, _expected: Unit | None, _stated: Quantity | None, _where: str) -> Limits:
    sign, numbers = (plain[0], plain[1:]) if plain[0] in "≤≥" else ("", plain)
    first, *others = (int(number) for number in re.findall("[0-9]+", numbers))
    last, trials = others[-2:] if len(others) == 2 else (first, others[0])
    low = Decimal(0) if sign == "≤" else Decimal(first)
    high = Decimal(trials) if sign == "≥" else Decimal(last)
    return Limits("count", low, high, DIMENSIONLESS, trials=trials, text=plain)


def _read_one_sided(plain: str, expected: Unit | None, _stated: Quantity | None, where: str) -> Limits:
    sign, rest = plain[0], plain[1:].strip()
    if sign in "<>":
        raise _refused(plain, f"is a strict limit; a limit is part of what it limits: write {sign}=.", where)
    bound = parse_quantity(rest, unit=expected, where=where) if rest else None
    if bound is None:
        raise _refused(plain, "has no value after its sign.", where)
    low, high = (bound.value, None) if sign == "≥" else (None, bound.value)
    return _bounded(low, high, bound.unit, plain)


def _read_tolerance(plain: str, expected: Unit | None, stated: Quantity | None, where: str) -> Limits:
    around, tolerance = (part.strip() for part in plain.split("±", 1))
    if not tolerance or "±" in tolerance:
        raise _refused(plain, "has not exactly one tolerance after ±.", where)
    nominal = read_nominal(around, (tolerance,), expected, where) if around else stated
    return read_symmetric(nominal, tolerance, expected, where)


def _read_signed(plain: str, expected: Unit | None, stated: Quantity | None, where: str) -> Limits:
    """Read 5 V +10 % / -5 %, or refuse a hyphen between two numbers."""
    signs = [match.start() for match in _SIGNS.finditer(plain)]
    if plain[0] in "+-" and len(signs) == 1:
        signs.insert(0, 0)
    if len(signs) != 2 or _DASH.search(plain):
        reason = "has a hyphen that may be a sign or a range; write 'to' or '..' between two limits."
        raise _refused(plain, reason, where)
    first, second = signs
    around = plain[:first].strip()
    parts = {plain[first]: plain[first + 1 : second], plain[second]: plain[second + 1 :]}
    if len(parts) != 2:
        raise _refused(plain, "has the same sign twice; write one + and one - tolerance.", where)
    plus, minus = (parts[sign].strip(" /,") for sign in "+-")
    if not plus or not minus:
        raise _refused(plain, "has an empty tolerance.", where)
    nominal = read_nominal(around, (minus, plus), expected, where) if around else stated
    return read_asymmetric(nominal, plus, minus, expected, where)


def _read_range(plain: str, expected: Unit | None, _stated: Quantity | None, where: str) -> Limits:
    parts = [part.strip() for part in _RANGE.split(plain)]
    if len(parts) != 2 or not all(parts):
        raise _refused(plain, "has not exactly two limits.", where)
    low, high = parts
    return _between(*_with_shared_unit(low, high, expected, where), plain)


def _with_shared_unit(low: str, high: str, expected: Unit | None, where: str) -> tuple[Quantity, Quantity]:
    """Read two bounds; the unit written on one of them counts for both."""
    if _BARE_NUMBER.fullmatch(low) and not _BARE_NUMBER.fullmatch(high):
        upper = parse_quantity(high, unit=expected, where=where)
        return parse_quantity(low, unit=upper.unit, where=where), upper
    lower = parse_quantity(low, unit=expected, where=where)
    return lower, parse_quantity(high, unit=lower.unit, where=where)


def _between(low: Quantity, high: Quantity, text: str) -> Limits:
    return _bounded(convert(low.value, low.unit, high.unit), high.value, high.unit, text)


def _bounded(low: Decimal | None, high: Decimal | None, unit: Unit, text: str) -> Limits:
    return Limits("count" if unit.is_count else "number", low, high, unit, text=text)


def _read_single(plain: str, expected: Unit | None, _stated: Quantity | None, where: str) -> Limits:
    if not re.match(r"[+-]?[0-9.]", plain):
        raise _refused(plain, "has no form that limits have.", where)
    value = parse_quantity(plain, unit=expected, where=where)
    if not value.unit.is_count:
        reason = "is one value, not limits; add a tolerance (± 5 %) or a sign (<=, >=)."
        raise _refused(plain, reason, where)
    return _bounded(value.value, value.value, value.unit, plain)


Bound = str | int | float | Decimal | None


def limits_from_bounds(low: Bound, high: Bound, *, unit: str | Unit | None = None) -> Limits:
    """Return limits from a lower and an upper bound given apart, as in the API.

    Parameters
    ----------
    low, high : str, int, float, decimal.Decimal or None
        Text with or without a unit, or a number in `unit`; None for no bound on that side.
    unit : str, Unit or None
        Unit of bounds without one. Without it a bound takes the unit written on the other.

    Returns
    -------
    Limits
        In the unit of the upper bound, or of the only one.

    Raises
    ------
    LimitError
        When both are None or the lower is above the upper.
    QuantityError
        When a bound cannot be read.
    UnitMismatchError
        When the units do not convert into each other.

    Examples
    --------
    >>> limits_from_bounds("11.5 V", None).text
    '≥ 11.5 V'
    """
    expected = None if unit is None else as_unit(unit)
    texts = [None if bound is None else _bound_text(bound) for bound in (low, high)]
    if texts[0] is not None and texts[1] is not None:
        limits = _between(*_with_shared_unit(texts[0], texts[1], expected, "limits"), "")
    else:
        read = [None if text is None else parse_quantity(text, unit=expected) for text in texts]
        given = next((quantity for quantity in read if quantity is not None), None)
        bounds = [None if quantity is None else quantity.value for quantity in read]
        limits = _bounded(bounds[0], bounds[1], DIMENSIONLESS if given is None else given.unit, "")
    return Limits(limits.kind, limits.low, limits.high, limits.unit, text=format_limits(limits))


def _bound_text(bound: str | int | float | Decimal) -> str:
    return cleaned(bound, where="limits") if isinstance(bound, str) else canonical_text(decimal_of(bound))
