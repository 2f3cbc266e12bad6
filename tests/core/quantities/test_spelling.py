import pytest

from logbook.core.errors import QuantityError
from logbook.core.quantities import cleaned


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        (" 3.3\u00a0V ", "3.3 V"),
        ("4 \u03bcV", "4 µV"),
        ("10\u2009\u2126", "10 Ω"),
        ("25 \u2103", "25 °C"),
        ("5 \u212a", "5 K"),
        ("\u22125 V", "-5 V"),
        ("3.3   V\r\n", "3.3 V"),
    ],
)
def test_it_gives_one_spelling_to_the_same_sign(typed: str, plain: str) -> None:
    assert cleaned(typed) == plain


@pytest.mark.parametrize("text", ["", "   ", "3\n3", "3\u202e3", "x" * 101, None, 5])
def test_it_refuses_what_cannot_be_a_value(text: str) -> None:
    with pytest.raises(QuantityError):
        cleaned(text)


def test_it_shows_only_the_start_of_a_long_text() -> None:
    with pytest.raises(QuantityError) as caught:
        cleaned("9" * 1_000_000)
    assert len(str(caught.value)) < 150
