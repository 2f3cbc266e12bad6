from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import PreferredValueError
from logbook.core.preferred import decode_colour_bands, decode_eia96, decode_numeric_code, series_values
from logbook.core.quantities import parse_quantity
from tests.core.preferred.golden import ENTRIES

A29 = ENTRIES["A-29"]
A31 = ENTRIES["A-31"]


@pytest.mark.parametrize(
    ("code", "kind"),
    [(code, "resistance") for code in A29["inputs"]["R"]]
    + [(code, "capacitance") for code in A29["inputs"]["C_pF"]],
)
def test_it_reads_numeric_codes(code: str, kind: str) -> None:
    assert float(decode_numeric_code(code, kind).value) == pytest.approx(A29["expected"][code], rel=1e-9)


@pytest.mark.parametrize(
    ("code", "kind", "value"),
    [
        ("000", "resistance", "0"),
        ("R47", "resistance", "0.47"),
        ("0R22", "resistance", "0.22"),
        ("4R7", "capacitance", "4.7e-12"),
        ("229", "capacitance", "2.2e-12"),  # 9 is a factor 0.1 on capacitors: EIA-198, from memory
        ("508", "capacitance", "0.5e-12"),
    ],
)
def test_it_reads_small_values(code: str, kind: str, value: str) -> None:
    assert decode_numeric_code(code, kind).value == Decimal(value)


def test_it_reads_a_tolerance_letter_after_the_digits() -> None:
    found = decode_numeric_code("103K", "capacitance")
    assert (found.low, found.high, found.tolerance_percent) == (Decimal("9e-9"), Decimal("11e-9"), 10)


@pytest.mark.parametrize("code", ["47", "47200", "R", "4k7", "472A", "", "4" * 50, "-72", "४७२", None])
def test_it_refuses_what_is_no_numeric_code(code: Any) -> None:
    with pytest.raises(PreferredValueError, match="not a numeric"):
        decode_numeric_code(code)


def test_it_has_no_numeric_code_for_other_kinds() -> None:
    with pytest.raises(PreferredValueError, match="no numeric code"):
        decode_numeric_code("472", "frequency")


@given(st.integers(10, 99), st.integers(0, 7))
def test_it_agrees_with_writing_the_number_out(mantissa: int, zeros: int) -> None:
    assert (
        decode_numeric_code(f"{mantissa}{zeros}").value
        == parse_quantity(f"{mantissa}{'0' * zeros} ohm").value
    )


@pytest.mark.parametrize(("code", "ohm"), ENTRIES["A-30"]["expected"].items())
def test_it_reads_eia96_codes(code: str, ohm: float) -> None:
    assert float(decode_eia96(code).value) == pytest.approx(ohm, rel=1e-9)


# Letters and multipliers: common practice, from memory; the mantissa is the last member of E96, 976.
@pytest.mark.parametrize(
    ("letter", "ohm"),
    [("Z", "0.976"), ("Y", "9.76"), ("R", "9.76"), ("X", "97.6"), ("S", "97.6"), ("A", "976"), ("B", "9760"),
     ("H", "9760"), ("C", "97600"), ("D", "976000"), ("E", "9760000"), ("F", "97600000")],
)  # fmt: skip
def test_it_knows_every_multiplier_letter(letter: str, ohm: str) -> None:
    assert decode_eia96(f"96{letter}").value == Decimal(ohm)


@given(st.integers(1, 96))
def test_it_spreads_an_eia96_part_by_one_percent(place: int) -> None:
    found = decode_eia96(f"{place:02}A")
    assert found.value == series_values("E96")[place - 1]
    assert found.high == found.value * Decimal("1.01")


@pytest.mark.parametrize("code", ["00A", "97A", "1A", "01G", "01", "", "A01", None])
def test_it_refuses_what_is_no_eia96_code(code: Any) -> None:
    with pytest.raises(PreferredValueError, match="not an EIA-96"):
        decode_eia96(code)


@pytest.mark.parametrize(
    ("bands", "expected"), list(zip(A31["inputs"]["bands"], A31["expected"], strict=True))
)
def test_it_reads_colour_bands(bands: list[str], expected: list[float]) -> None:
    found = decode_colour_bands(bands)
    assert [float(found.value), float(found.tolerance_percent or 0)] == expected


# IEC 60062:2016, Table 1, from memory.
@pytest.mark.parametrize(
    ("bands", "ohm", "percent"),
    [
        ("black", "0", None),
        ("brown black brown", "100", "20"),
        ("Red Violet Gold Gold", "2.7", "5"),
        ("brown black silver gold", "0.10", "5"),
        ("grey red black orange blue", "820000", "0.25"),
        ("gray purple white black violet red", "879", "0.1"),
        ("brown black black pink grey", "0.1", "0.01"),
    ],
)
def test_it_reads_seldom_met_bands(bands: str, ohm: str, percent: str | None) -> None:
    found = decode_colour_bands(bands.split())
    assert found.value == Decimal(ohm)
    assert found.tolerance_percent == (None if percent is None else Decimal(percent))


def test_it_gives_the_band_a_colour_code_stands_for() -> None:
    found = decode_colour_bands(["yellow", "violet", "red", "gold"])
    assert (found.low, found.high) == (4465, 4935)


@pytest.mark.parametrize(
    "bands",
    [
        [],
        ["red"],
        ["red", "red"],
        ["gold", "red", "red", "gold"],
        ["red", "red", "red", "black"],
        ["mauve"] * 4,
        ["red"] * 7,
        "red",
        [None, "red", "red"],
    ],
    ids=str,
)
def test_it_refuses_impossible_bands(bands: Any) -> None:
    with pytest.raises(PreferredValueError):
        decode_colour_bands(bands)
