import pytest

from logbook.core.errors import UnitMismatchError
from logbook.core.formulas import parse_formula
from logbook.core.quantities import as_unit
from logbook.core.tolerance import UnitCheck, check_units
from logbook.core.trade import READY_MADE, ReadyMade

BASES = {
    "v": "V",
    "w": "V",
    "i": "A",
    "r": "Ω",
    "q": "Ω",
    "c": "F",
    "f": "Hz",
    "t": "°C",
    "n": "",
    "level": "dBV",
}


def check(text: str, unit: str) -> UnitCheck:
    return check_units(parse_formula(text), BASES, as_unit(unit))


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("v*(1 + r/q) + i*r", "V"),
        ("1/(2*pi*r*c)", "kHz"),
        ("v**2/r", "mW"),
        ("par(r, q)", "kΩ"),
        ("max(v, w, 0)", "mV"),
        ("r*c*ln(v/(v - w))", "µs"),
        ("sqrt(v*w)", "Vrms"),
        ("20*log10(v/w)", "dB"),
        ("1.5*v", "V"),
        ("abs(-v)/w", "%"),
    ],
)
def test_units_that_fit_are_checked(text: str, unit: str) -> None:
    assert check(text, unit) == UnitCheck(is_checked=True)


@pytest.mark.parametrize(
    ("text", "unit", "message", "where"),
    [
        ("v + r", "V", "V (v) and Ω (r) cannot be added.", "formula"),
        ("v - i*r*r", "V", "V (v) and V·Ω (i, r) cannot be subtracted.", "formula"),
        ("par(r, c)", "Ω", "Ω (r) and F (c) cannot be put in parallel.", "formula"),
        ("min(v, i)", "V", "V (v) and A (i) cannot be compared.", "formula"),
        ("v*r", "V", "The formula gives V·Ω, which does not fit V.", "unit"),
        ("v*(1 + r)", "V", "The formula gives V·Ω, which does not fit V.", "unit"),
        ("v/w", "V", "The formula gives a plain number, which does not fit V.", "unit"),
        ("exp(v)", "", "exp takes a plain number, not V (v).", "formula"),
        ("n**v", "", "an exponent takes a plain number, not V (v).", "formula"),
    ],
)
def test_units_that_do_not_fit_are_refused(text: str, unit: str, message: str, where: str) -> None:
    with pytest.raises(UnitMismatchError) as caught:
        check(text, unit)
    assert (caught.value.message, caught.value.where) == (message, where)
    assert caught.value.given
    assert caught.value.allowed


@pytest.mark.parametrize(
    ("text", "unit", "reason"),
    [
        ("v*n", "V", "n is a plain number, taken as it is"),
        (
            "v + n",
            "V",
            "n is a plain number, taken as it is; V (v) and a plain number (n) are added as they are",
        ),
        ("t - 20", "°C", "20 beside K (t) is taken in that unit"),
        ("v*r", "", "no unit is asked for; the formula gives V·Ω"),
        ("20*log10(v)", "dBV", "log10 takes V (v) as a plain number"),
        (
            "sqrt(1.380649e-23*r*f)",
            "V",
            "the formula gives kg^0.5·m·A^-1·s^-2, taken as V: its numbers may carry the rest",
        ),
    ],
)
def test_what_is_not_checked_is_said(text: str, unit: str, reason: str) -> None:
    found = check(text, unit)
    assert (found.is_checked, found.reason) == (False, reason)


@pytest.mark.parametrize("calculation", READY_MADE.values(), ids=READY_MADE.keys())
def test_no_ready_made_calculation_mixes_units(calculation: ReadyMade) -> None:
    units = {part.name: part.unit for part in calculation.parts}
    found = check_units(calculation.formula, units, as_unit(calculation.unit))
    assert found.is_checked == (not found.reason)
