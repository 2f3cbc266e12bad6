import string
import time
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import CoreError, QuantityError, UnitMismatchError
from logbook.core.quantities import parse_marked_value, parse_quantity
from tests.core.quantities.golden import ENTRIES, KIND


@pytest.mark.parametrize(("text", "expected"), ENTRIES["A-34"]["expected"].items())
def test_it_reads_quantities_into_si(text: str, expected: float) -> None:
    assert parse_quantity(text).si == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "known", "value", "symbol"),
    [
        ("3.298 V", {}, "3.298", "V"),
        ("3.298", {"unit": "V"}, "3.298", "V"),
        ("3298mV", {"unit": "V"}, "3298", "mV"),
        ("3V3", {}, "3.3", "V"),
        ("-3V3", {"unit": "mV"}, "-3.3", "V"),
        ("4k7", {"unit": "ohm"}, "4.7", "kΩ"),
        ("4k7Ω", {}, "4.7", "kΩ"),
        ("4k7 ohm", {}, "4.7", "kΩ"),
        ("4.7k", {"kind": "resistance"}, "4.7", "kΩ"),
        ("4.7 k", {"kind": "resistance"}, "4.7", "kΩ"),
        ("4.7K", {"kind": "resistance"}, "4.7", "kΩ"),
        ("4.7 kohm", {}, "4.7", "kΩ"),
        ("100n", {"kind": "capacitance"}, "100", "nF"),
        ("4µ7 F", {}, "4.7", "µF"),
        ("12.288 MHz", {}, "12.288", "MHz"),
        ("12M288", {"kind": "frequency"}, "12.288", "MHz"),
        ("-98 dBV", {}, "-98", "dBV"),
        ("\u221298 dBV", {}, "-98", "dBV"),
        ("35 ppm", {}, "35", "ppm"),
        ("1e-9", {}, "1E-9", ""),
        ("1e-9", {"kind": "time"}, "1E-9", "s"),
        ("0R0", {}, "0.0", "Ω"),
        ("36u", {"unit": "mVrms"}, "36", "µVrms"),
        ("5m", {"unit": "V"}, "5", "mV"),
        ("5m", {"unit": "mm"}, "5", "m"),
        ("5 M", {"unit": "ohm"}, "5", "MΩ"),
        ("4k83", {"unit": ""}, "4830", ""),
        ("100nF", {"kind": "capacitance"}, "100", "nF"),
        ("472", {"kind": "resistance"}, "472", "Ω"),
        ("10kJ", {}, "10", "kJ"),
        ("4k7J", {"unit": "ohm"}, "4.7", "kΩ"),
        ("2.5 N m", {}, "2.5", "N m"),
    ],
)
def test_it_reads_what_people_write(text: str, known: dict[str, Any], value: str, symbol: str) -> None:
    reading = parse_quantity(text, **known)
    assert (reading.value, reading.unit.symbol) == (Decimal(value), symbol)


@pytest.mark.parametrize(
    ("text", "known", "part"),
    [
        ("1,5 V", {}, "ambiguous"),
        ("12 000 V", {}, "thousands"),
        ("V", {}, "begin with a number"),
        ("nan V", {}, "begin with a number"),
        ("4k7", {}, "add the unit"),
        ("100n", {}, "add the unit"),
        ("3.3 v", {}, "not a unit"),
        ("0x10", {}, "not a unit"),
        ("3 Khz", {}, "not a unit"),
        ("10 KHz", {}, "small k"),
        ("1e400 V", {}, "outside"),
        ("", {}, "Nothing"),
        ("3\x00V", {}, "printed"),
        ("100K", {"kind": "capacitance"}, "not a unit|cannot be converted"),
        ("3 V", {"kind": "length"}, "not a kind"),
        ("4k7J", {"unit": ""}, "not a unit"),
    ],
    ids=repr,
)
def test_it_refuses_with_a_reason(text: str, known: dict[str, Any], part: str) -> None:
    with pytest.raises(CoreError, match=part):
        parse_quantity(text, **known)


@pytest.mark.parametrize(
    ("text", "known"),
    [("3 A", {"unit": "V"}), ("3V3", {"unit": "A"}), ("10kJ", {"unit": "ohm"}), ("1 V", {"kind": "time"}),
     ("1", {"unit": "V", "kind": "current"}), ("20 mV", {"unit": "mVpp"})],
)  # fmt: skip
def test_it_refuses_a_unit_that_does_not_fit(text: str, known: dict[str, Any]) -> None:
    with pytest.raises(UnitMismatchError, match="cannot be converted into"):
        parse_quantity(text, **known)


@pytest.mark.parametrize("entry", ["A-19", "A-20"])
def test_it_reads_letter_codes(entry: str) -> None:
    inputs, expected = ENTRIES[entry]["inputs"], ENTRIES[entry]["expected"]
    found = {code: parse_quantity(code, kind=KIND[inputs["kind"]]).si for code in inputs["codes"]}
    assert found == pytest.approx(expected, rel=1e-9)


def test_it_names_the_field_it_was_given() -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity("3.3 v", where="reading")
    assert caught.value.where == "reading"


HOSTILE = [
    "9" * 1_000_000,
    "9**9**9",
    "V*" * 40,
    "1" + "e" * 90,
    "+" * 99,
    "1e" + "9" * 90,
    "\u202e3 V",
    "1 V\x00",
    "(" * 99,
    "1" * 60 + "R" + "1" * 30,
]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_it_refuses_hostile_text_at_once(text: str) -> None:
    started = time.perf_counter()
    with pytest.raises(CoreError):
        parse_quantity(text, kind="resistance")
    assert time.perf_counter() - started < 0.05


TYPED = st.one_of(
    st.text(max_size=110),
    st.text(alphabet=string.digits + "RkKMmunpµΩVAFHJ.eE+- %", max_size=14),
)


@given(TYPED, st.sampled_from([None, "resistance", "capacitance", "inductance", "voltage", "time"]))
def test_it_reads_or_refuses_any_text(text: str, kind: str | None) -> None:
    try:
        reading = parse_quantity(text, kind=kind)
        parse_marked_value(text, kind)
    except CoreError:
        return
    assert reading.value.is_finite()


@given(TYPED, st.sampled_from(["V", "mVpp", "dB", "", "%", "errors", "m", "°C"]))
def test_it_reads_or_refuses_any_text_in_any_unit(text: str, unit: str) -> None:
    try:
        assert parse_quantity(text, unit=unit).to(unit).is_finite()
    except CoreError:
        return
