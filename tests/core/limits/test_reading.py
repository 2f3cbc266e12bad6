import string
import time
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import CoreError, LimitError, QuantityError, UnitMismatchError
from logbook.core.limits import limits_from_bounds, parse_limits


def bounds(limits: Any) -> tuple[str | None, str | None, str]:
    low, high = (None if bound is None else str(bound) for bound in (limits.low, limits.high))
    return low, high, limits.unit.symbol


@pytest.mark.parametrize(
    ("text", "low", "high", "unit"),
    [
        ("3.3 V ± 5 %", "3.135", "3.465", "V"),
        ("3.3V±5%", "3.135", "3.465", "V"),
        ("3V3 +- 5 %", "3.135", "3.465", "V"),
        ("3.3 V +/- 165 mV", "3.135", "3.465", "V"),
        ("3.3 ± 0.165 V", "3.135", "3.465", "V"),
        ("-5 +0.1 / -0.2 V", "-5.2", "-4.9", "V"),
        ("5 V +10 % / -5 %", "4.75", "5.5", "V"),
        ("5 V -5 % / +10 %", "4.75", "5.5", "V"),
        ("5 V +0.5/-0.25", "4.75", "5.5", "V"),
        ("5V+10%/-5%", "4.75", "5.5", "V"),
        ("5 V +500 mV, -0.25 V", "4.75", "5.5", "V"),
        ("-12 V +10 % / -5 %", "-12.6", "-10.8", "V"),
        ("-5 V ± 5 %", "-5.25", "-4.75", "V"),
        ("\u22125 V ± 5 %", "-5.25", "-4.75", "V"),
        ("12.288 MHz ± 30 ppm", "12.28763136", "12.28836864", "MHz"),
        ("4.75 V to 5.25 V", "4.75", "5.25", "V"),
        ("4.75 to 5.25 V", "4.75", "5.25", "V"),
        ("4.75 V to 5.25", "4.75", "5.25", "V"),
        ("4.75..5.25 V", "4.75", "5.25", "V"),
        ("4.75...5.25 V", "4.75", "5.25", "V"),
        ("4.75 … 5.25 V", "4.75", "5.25", "V"),
        ("-5.05..-4.95 V", "-5.05", "-4.95", "V"),
        ("1e-3..2e-3 V", "0.001", "0.002", "V"),
        ("900 mV to 1.1 V", "0.900", "1.1", "V"),
        ("≥ 90 dB", "90", None, "dB"),
        (">= 90 dB", "90", None, "dB"),
        ("<= 20 mV", None, "20", "mV"),
        ("<= -110 dBFS", None, "-110", "dBFS"),
        ("± 30 ppm", "-30", "30", "ppm"),
        ("+-1.7 s/day", "-1.7", "1.7", "s/day"),
        ("+10 mV / -5 mV", "-5", "10", "mV"),
        ("20 dB ± 0.2 dB", "19.8", "20.2", "dB"),
        ("0.5 ± 2 %", "0.49", "0.51", ""),
        ("4.7 kΩ ± 1 %", "4.653", "4.747", "kΩ"),
        ("256 ± 0", "256", "256", ""),
    ],
)
def test_it_reads_limits_of_numbers(text: str, low: str | None, high: str | None, unit: str) -> None:
    assert bounds(parse_limits(text)) == (low, high, unit)


@pytest.mark.parametrize(
    ("text", "low", "high", "trials"),
    [
        ("0 errors", 0, 0, None),
        ("<= 3 errors", None, 3, None),
        ("100 of 100", 100, 100, 100),
        ("20 of 20", 20, 20, 20),
        (">= 18 of 20", 18, 20, 20),
        ("<= 1 of 20", 0, 1, 20),
        ("2 … 5 of 20", 2, 5, 20),
    ],
)
def test_it_reads_counts(text: str, low: int | None, high: int | None, trials: int | None) -> None:
    limits = parse_limits(text)
    assert (limits.kind, limits.low, limits.high, limits.trials) == ("count", low, high, trials)


@pytest.mark.parametrize(("text", "expected"), [("yes", True), ("No", False), (" YES ", True)])
def test_it_reads_an_expected_answer(text: str, expected: bool) -> None:
    limits = parse_limits(text)
    assert (limits.kind, limits.expected) == ("yes_no", expected)


@pytest.mark.parametrize(
    ("text", "known", "expected"),
    [
        ("3.135..3.465", {"unit": "V"}, ("3.135", "3.465", "V")),
        ("3135..3465 mV", {"unit": "V"}, ("3135", "3465", "mV")),
        ("4k7 ± 1 %", {"unit": "ohm"}, ("4.653", "4.747", "kΩ")),
        ("0", {"unit": "errors"}, ("0", "0", "errors")),
        ("± 5 %", {"nominal": "3.3 V"}, ("3.135", "3.465", "V")),
        ("± 30 ppm", {"nominal": "25", "unit": "MHz"}, ("24.99925", "25.00075", "MHz")),
        ("± 165 mV", {"nominal": "3.3 V"}, ("3.135", "3.465", "V")),
    ],
)
def test_it_uses_what_is_known(text: str, known: dict[str, str], expected: tuple[str, str, str]) -> None:
    assert bounds(parse_limits(text, **known)) == expected


@pytest.mark.parametrize(
    ("text", "known", "nominal"),
    [
        ("3.3 V ± 5 %", {}, "3.3"),
        ("4.75 V to 5.25 V", {}, None),
        ("62..94 mA", {"nominal": "78 mA"}, "78"),
        ("62..94 mA", {"nominal": "78"}, "78"),
        ("62..94 mA", {"nominal": "0.078 A"}, "78"),
        ("± 30 ppm", {}, "0"),
        ("yes", {"nominal": "3.3 V"}, None),
    ],
)
def test_it_keeps_a_stated_nominal(text: str, known: dict[str, str], nominal: str | None) -> None:
    assert parse_limits(text, **known).nominal == (None if nominal is None else Decimal(nominal))


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("< 20 mV", "write <="),
        ("> 20 mV", "write >="),
        ("4.75 V - 5.25 V", "write 'to'"),
        ("4.75 V – 5.25 V", "write 'to'"),
        ("4.75-5.25 V", "write 'to'"),
        ("5.25..4.75 V", "is above the upper"),
        ("-4.95 to -5.05 V", "is above the upper"),
        ("3.3 V", "one value"),
        ("about 5 V", "no form"),
        ("50 % ± 2 %", "two ways"),
        ("20 dB ± 1 %", "two ways"),
        ("25 °C ± 1 %", "two ways"),
        ("5 V ± -5 %", "no sign"),
        ("5 V +5 % / +10 %", "same sign"),
        ("5 V +5 % -", "empty tolerance"),
        ("≤", "no value"),
        ("±", "exactly one tolerance"),
        ("1 ± 2 ± 3", "exactly one tolerance"),
        ("1..2..3 V", "exactly two"),
        ("..2 V", "exactly two"),
        ("0.5 errors", "whole number"),
        ("101 of 100", "No more than"),
        ("0 of 0", "at least one trial"),
    ],
)
def test_it_refuses_what_could_mean_two_things(text: str, part: str) -> None:
    with pytest.raises(LimitError, match=part):
        parse_limits(text)


@pytest.mark.parametrize(
    ("text", "known"),
    [("4.75 V to 5.25 A", {}), ("<= 5 A", {"unit": "V"}), ("3.3 V ± 5 mA", {}), ("± 2 K", {"unit": "V"}),
     ("1..2 V", {"nominal": "1 A"})],
)  # fmt: skip
def test_it_names_units_that_do_not_fit(text: str, known: dict[str, str]) -> None:
    with pytest.raises(UnitMismatchError, match="cannot be converted into"):
        parse_limits(text, **known)


def test_a_bare_tolerance_that_is_no_number_is_named() -> None:
    with pytest.raises(QuantityError, match=r"'53\.\.' is not a number"):
        parse_limits("3.3 V ± 53..")


def test_it_asks_what_a_share_is_of() -> None:
    with pytest.raises(LimitError, match="of what"):
        parse_limits("± 5 %", unit="V")


@pytest.mark.parametrize(
    ("low", "high", "unit", "expected"),
    [
        ("11.5 V", None, None, ("11.5", None, "V")),
        (None, 20, "mV", (None, "20", "mV")),
        (4.75, 5.25, "V", ("4.75", "5.25", "V")),
        ("4.75", "5.25 V", None, ("4.75", "5.25", "V")),
        (4.75, "5.25 V", None, ("4.75", "5.25", "V")),
        (Decimal("1e-9"), 1, "", ("1E-9", "1", "")),
        (0, 3, "errors", ("0", "3", "errors")),
    ],
)
def test_it_joins_bounds_given_apart(low: Any, high: Any, unit: str | None, expected: Any) -> None:
    found = limits_from_bounds(low, high, unit=unit)
    assert found.in_unit(expected[2]).low == (None if expected[0] is None else Decimal(expected[0]))
    assert found.high == (None if expected[1] is None else Decimal(expected[1]))
    assert parse_limits(found.text, unit=found.unit).low == found.low


@pytest.mark.parametrize(
    ("low", "high"), [(None, None), (2, 1), (True, 2), ("", None), (float("nan"), 1), ("1 V", "2 A"), ([], 1)]
)
def test_it_refuses_bounds_that_do_not_fit(low: Any, high: Any) -> None:
    with pytest.raises(CoreError):
        limits_from_bounds(low, high)


HOSTILE = ["+-" * 50, "±" * 100, "1.." * 33, "..." * 33, "9" * 1_000_000, "1 to " * 20, "≤" * 100, "-" * 100]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_it_refuses_hostile_text_at_once(text: str) -> None:
    started = time.perf_counter()
    with pytest.raises(CoreError):
        parse_limits(text)
    assert time.perf_counter() - started < 0.05


@given(
    st.one_of(st.text(max_size=110), st.text(alphabet=string.digits + "±+-/%≤≥<>.… Vmtoof,e", max_size=20))
)
def test_it_reads_or_refuses_any_text(text: str) -> None:
    try:
        limits = parse_limits(text, unit="V")
    except CoreError:
        return
    assert limits.low is None or limits.high is None or limits.low <= limits.high


def test_a_forgotten_percent_sign_is_refused() -> None:
    with pytest.raises(LimitError) as refused:
        parse_limits("3.3 V ± 5")
    assert refused.value.allowed == "5 % or 5 V"


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [("-98 dBV ± 1 dB", "-99", "-97"), ("25 °C ± 3 K", "22", "28")],
    ids=["decibels around a level", "kelvins around a temperature"],
)
def test_a_tolerance_may_be_a_difference(text: str, low: str, high: str) -> None:
    limits = parse_limits(text)
    assert (limits.low, limits.high) == (Decimal(low), Decimal(high))
