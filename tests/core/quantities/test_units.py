import pickle
from decimal import Decimal

import pytest

from logbook.core.errors import QuantityError
from logbook.core.quantities import Unit, unit_named
from logbook.core.quantities.unit_table import PREFIX_EXPONENTS, ROWS
from logbook.core.quantities.units import engineering_family
from tests.core.quantities.golden import ENTRIES


@pytest.mark.parametrize(("prefix", "exponent"), ENTRIES["A-33"]["expected"].items())
def test_it_scales_prefixes_as_the_si_does(prefix: str, exponent: int) -> None:
    assert PREFIX_EXPONENTS[prefix] == exponent
    assert unit_named(prefix + "V").factor == Decimal(10) ** exponent


@pytest.mark.parametrize(
    ("text", "symbol"),
    [
        ("kohm", "kΩ"), ("Mohm", "MΩ"), ("ohms", "Ω"), ("\u2126", "Ω"), ("uV", "µV"), ("\u03bcV", "µV"),
        ("uVrms", "µVrms"), ("mV rms", "mVrms"), ("mVp-p", "mVpp"), ("kS/s", "kS/s"), ("kb/s", "kbit/s"),
        ("MB/s", "MB/s"), ("nV/rtHz", "nV/√Hz"), ("nV/sqrt(Hz)", "nV/√Hz"), ("V / √Hz", "V/√Hz"),
        ("deg", "°"), ("degC", "°C"), ("min", "min"), ("mils", "mil"), ("Nm", "N m"), ("N·m", "N m"),
        ("dBuV", "dBµV"), ("dBu", "dBu"), ("ppm/°C", "ppm/K"), ("", ""), ("1", ""), ("  ", ""), ("cm", "cm"),
        ("error", "errors"), ("ps rms", "ps rms"), ("kWh", "kWh"), ("mAh", "mAh"), ("V/us", "V/µs"),
    ],
)  # fmt: skip
def test_it_knows_units_by_every_spelling(text: str, symbol: str) -> None:
    assert unit_named(text).symbol == symbol


@pytest.mark.parametrize(
    "text", ["v", "MHZ", "mhz", "kVV", "mmV", "um rms", "V" * 30, "dbV", "__class__", "µ"]
)
def test_it_refuses_a_unit_it_does_not_know(text: str) -> None:
    with pytest.raises(QuantityError):
        unit_named(text)


def test_it_says_that_kilo_is_small() -> None:
    with pytest.raises(QuantityError, match="small k: kHz"):
        unit_named("KHz")


def test_it_tells_milli_from_mega() -> None:
    assert unit_named("MΩ").factor / unit_named("mΩ").factor == 10**9


@pytest.mark.parametrize(
    ("text", "is_size"),
    [("µVrms", True), ("mVpp", True), ("nV/√Hz", True), ("ms", True), ("errors", True), ("V", False),
     ("ppm", False), ("dBFS", False), ("K", False), ("s/day", False)],
)  # fmt: skip
def test_it_knows_what_cannot_be_below_zero(text: str, is_size: bool) -> None:
    assert unit_named(text).non_negative is is_size


def test_it_knows_levels() -> None:
    assert [unit_named(text).logarithmic for text in ("dBFS", "dB", "V", "%")] == [True, True, False, False]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.symbol or "plain")
def test_it_finds_each_unit_by_the_name_it_prints(row: object) -> None:
    unit = unit_named(row.symbol)  # type: ignore[attr-defined]
    for member in engineering_family(unit):
        assert unit_named(member.symbol) == member
        assert unit_named(member.base).factor == 1


def test_it_survives_pickling() -> None:
    assert pickle.loads(pickle.dumps(unit_named("mV"))) == unit_named("mV")


@pytest.mark.parametrize("factor", ["0", "-1", "NaN"])
def test_it_refuses_a_factor_that_cannot_scale(factor: str) -> None:
    with pytest.raises(QuantityError):
        Unit("x", "x", Decimal(factor))
