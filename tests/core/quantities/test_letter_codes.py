import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.quantities import Unit, unit_named
from logbook.core.quantities.letter_codes import read_letter_code

OHM = unit_named("ohm")


@pytest.mark.parametrize(
    ("text", "expected", "is_marking"),
    [
        ("4k7", None, False),
        ("V47", None, False),
        ("R", OHM, True),
        ("10kJ", OHM, False),
        ("4k7x", OHM, True),
        ("4.7k", OHM, True),
        ("3V3J", unit_named("V"), True),
        ("4R7 V", None, False),
        ("100K", unit_named("F"), True),
    ],
)
def test_it_says_none_where_the_text_is_no_code(text: str, expected: Unit | None, is_marking: bool) -> None:
    assert read_letter_code(text, expected, is_marking=is_marking) is None


@given(st.integers(0, 999), st.integers(0, 999), st.sampled_from("mRkMG"))
def test_it_puts_the_point_where_the_letter_stands(whole: int, decimals: int, letter: str) -> None:
    code = read_letter_code(f"{whole}{letter}{decimals}", OHM, is_marking=True)
    assert code is not None
    assert str(code.value) == f"{whole}.{decimals}"
