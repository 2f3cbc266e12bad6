"""Values mean the same however they are spelled.

The pairs follow the letter and digit code of IEC 60062:2016 (4k7, R47, 4µ7, p33 …).
"""

from __future__ import annotations

import pytest

from logbook.core.parts_list import text_meaning, value_meaning


@pytest.mark.parametrize(
    ("letters", "one", "other"),
    [
        ("R", "4k7", "4.7 kΩ"),
        ("R", "4K7", "4700"),
        ("R", "R47", "0.47 Ω"),
        ("R", "2M2", "2200k"),
        ("R", "100R", "100"),
        ("R", "10k 1%", "10 kΩ, 1 %"),
        ("C", "100n", "0.1 µF"),
        ("C", "100nF", "0u1"),
        ("C", "4p7", "4.7pF"),
        ("C", "p33", "0.33 pF"),
        ("C", "100n 50V X7R", "0.1uF / 50 V / x7r"),
        ("L", "2µ2", "2.2 uH"),
        ("Y", "25MHz", "25.000 MHz"),
        ("U", "LDO 3V3", "ldo 3.3V"),
        ("D", "red  LED", "Red LED"),
    ],
)
def test_a_respelling_means_the_same(letters: str, one: str, other: str) -> None:
    assert value_meaning(one, letters) == value_meaning(other, letters)


@pytest.mark.parametrize(
    ("letters", "one", "other"),
    [
        ("C", "18 pF", "10 pF"),
        ("R", "43k", "68k"),
        ("R", "1m", "1M"),
        ("R", "10k 1%", "10k 0.1%"),
        ("R", "4k7", "4k7J"),
        ("C", "100n 16V", "100n 50V"),
        ("C", "100n", ""),
        ("U", "4k7", "4700"),
        ("R", "1,5k", "1.5k"),
    ],
    ids=["C11", "divider", "milli", "tolerance", "marked", "voltage", "gone", "no resistor", "comma"],
)
def test_another_value_does_not(letters: str, one: str, other: str) -> None:
    assert value_meaning(one, letters) != value_meaning(other, letters)


def test_names_are_compared_without_case_and_spaces() -> None:
    assert text_meaning("Res  0603") == text_meaning(" res 0603")
    assert text_meaning("0603") != text_meaning("0805")
