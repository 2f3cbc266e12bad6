"""The check character against the published example, and what it promises to catch."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.check_character import SIGNS, check_character
from logbook.core.errors import CodeError

CODES = st.text(SIGNS, min_size=1, max_size=20)


def test_it_agrees_with_the_published_example() -> None:
    """GRid Standard 2.1 (IFPI), which uses ISO 7064 MOD 37,36: A1-2425G-ABC1234002 has the character M."""
    assert check_character("A1-2425G-ABC1234002") == "M"


@given(code=CODES, at=st.integers(0, 19), wrong=st.sampled_from(SIGNS))
def test_one_wrong_character_is_always_caught(code: str, at: int, wrong: str) -> None:
    """ISO 7064:2003, table 1: every system detects all single substitution errors."""
    at %= len(code)
    typed = code[:at] + wrong + code[at + 1 :]
    assert (check_character(typed) == check_character(code)) == (wrong == code[at])


def test_small_letters_and_other_signs_change_nothing() -> None:
    assert check_character("slk · 0006/c") == check_character("SLK0006C")


@pytest.mark.parametrize("code", ["", " · ", "µ"])
def test_a_code_of_no_letter_or_digit_is_refused(code: str) -> None:
    with pytest.raises(CodeError, match="nothing to check"):
        check_character(code)
