"""How text is split: keys with and without their signs, values as people write them."""

from __future__ import annotations

import pytest

from logbook.recall.search.tokens import main_key, tokens_of


@pytest.mark.parametrize("written", ["RLD-2", "RLD2", "rld 2", "Rld_2", "ＲＬＤ-2"])
def test_a_key_is_one_however_it_is_written(written: str) -> None:
    assert main_key(written) == "rld2"


# IEC 60062:2016, 3: the letter stands for the decimal sign; R is ohm, k kilo-ohm, and so on.
@pytest.mark.parametrize(
    ("code", "value"), [("4k7", "4.7k"), ("2R2", "2.2"), ("4u7", "4.7u"), ("1M5", "1.5m"), ("3V3", "3.3v")]
)
def test_a_letter_code_is_also_found_by_its_value(code: str, value: str) -> None:
    assert list(tokens_of(code)) == [code.lower(), value]


@pytest.mark.parametrize("written", ["4.7 kΩ", "4.7kΩ", "4.7 kohm", "4k7", "4.7 k\N{OHM SIGN}"])
def test_a_resistance_is_one_however_it_is_written(written: str) -> None:
    assert "4.7k" in tokens_of(written)


@pytest.mark.parametrize("written", ["22 µF", "22 \N{GREEK SMALL LETTER MU}F", "22uF", "22 uf"])
def test_micro_is_one_however_it_is_written(written: str) -> None:
    assert "22uf" in tokens_of(written)


def test_a_file_name_is_found_by_its_parts_and_whole() -> None:
    assert list(tokens_of("0006-soft-start.csv")) == ["0006", "soft", "start", "csv", "0006softstartcsv"]


def test_a_word_and_its_number_are_also_one() -> None:
    assert list(tokens_of("drawer 2, grey cabinet")) == ["drawer", "2", "drawer2", "grey", "2grey", "cabinet"]


def test_accents_and_case_do_not_matter() -> None:
    assert list(tokens_of("Straße, CAFÉ")) == ["strasse", "cafe"]


@pytest.mark.parametrize("text", ['"', "* : ^", "\x00\x01", "' OR 1=1 --", "(NEAR)"], ids=repr)
def test_tokens_hold_letters_digits_and_points_only(text: str) -> None:
    assert all(token.replace(".", "").isalnum() for token in tokens_of(text))
