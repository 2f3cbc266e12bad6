from decimal import Decimal

import pytest

from logbook.core.errors import CoreError, QuantityError
from logbook.core.quantities import MarkedValue, parse_marked_value, unit_named
from tests.core.quantities.golden import ENTRIES, KIND


@pytest.mark.parametrize("entry", ["A-24", "A-25", "A-26", "A-27", "A-28"])
def test_it_reads_codes_with_a_tolerance_letter(entry: str) -> None:
    inputs, expected = ENTRIES[entry]["inputs"], ENTRIES[entry]["expected"]
    found = parse_marked_value(inputs["code"], KIND[inputs["kind"]])
    numbers = {"nominal": float(found.value), "min": float(found.low or 0), "max": float(found.high or 0)}
    assert numbers == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("letter", "percent"), ENTRIES["A-21"]["expected"].items())
def test_it_spreads_a_resistor_by_each_letter(letter: str, percent: float) -> None:
    found = parse_marked_value(f"1k0{letter}", "resistance")
    assert (found.low, found.high) == (1000 - 10 * Decimal(str(percent)), 1000 + 10 * Decimal(str(percent)))
    assert found.tolerance_percent == Decimal(str(percent))


@pytest.mark.parametrize(("letter", "percents"), ENTRIES["A-22"]["expected"].items())
def test_it_spreads_a_capacitor_to_unequal_sides(letter: str, percents: list[int]) -> None:
    found = parse_marked_value(f"100n{letter}", "capacitance")
    minus, plus = percents
    assert found.low == Decimal("1e-9") * (100 - minus)
    assert found.high == Decimal("1e-9") * (100 + plus)
    assert found.tolerance_percent is None


@pytest.mark.parametrize(("letter", "size_pf"), ENTRIES["A-23"]["expected"].items())
def test_it_takes_letters_below_ten_picofarad_as_absolute(letter: str, size_pf: float) -> None:
    found = parse_marked_value(f"8p2{letter}", "capacitance")
    assert found.high == Decimal("1e-12") * (Decimal("8.2") + Decimal(str(size_pf)))
    assert found.low == Decimal("1e-12") * (Decimal("8.2") - Decimal(str(size_pf)))


def test_it_takes_letters_at_ten_picofarad_as_percent() -> None:
    assert parse_marked_value("10pG", "capacitance").low == Decimal("9.8e-12")


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("4.7 kΩ", None, "4700"),
        ("4R7", None, "4.7"),
        ("4u7", "inductance", "4.7e-6"),
        ("10pF", "capacitance", "1e-11"),
        ("10K", "resistance", "10000"),
        ("0R0", "resistance", "0"),
    ],
)
def test_it_has_no_band_without_a_letter(text: str, kind: str | None, value: str) -> None:
    found = parse_marked_value(text, kind)
    assert (found.value, found.low, found.high) == (Decimal(value), None, None)


@pytest.mark.parametrize(
    ("text", "low"),
    [("10KK", "9000"), ("4R7J", "4.465"), ("100RF", "99"), ("4K7K", "4230"), ("1MJ", "950000")],
)
def test_it_tells_kilo_from_ten_percent(text: str, low: str) -> None:
    assert parse_marked_value(text, "resistance").low == Decimal(low)


@pytest.mark.parametrize("text", ["4k7A", "4k7j", "4k7 J", "4k7JJ", "k", "4k7k", "4.7kJ"])
def test_it_refuses_what_is_no_marking(text: str) -> None:
    with pytest.raises(CoreError):
        parse_marked_value(text, "resistance")


@pytest.mark.parametrize(("low", "high"), [("1", None), ("6", "7"), ("3", "4")])
def test_it_refuses_a_band_without_its_nominal(low: str, high: str | None) -> None:
    with pytest.raises(QuantityError):
        MarkedValue(Decimal(5), unit_named("Ω"), Decimal(low), None if high is None else Decimal(high), "")
