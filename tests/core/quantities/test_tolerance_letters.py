from decimal import Decimal

import pytest

from logbook.core.errors import PreferredValueError, QuantityError
from logbook.core.quantities.tolerance_letters import LetterTolerance, tolerance_of_letter
from tests.core.quantities.golden import ENTRIES


@pytest.mark.parametrize(("letter", "percent"), ENTRIES["A-21"]["expected"].items())
def test_it_knows_the_symmetric_letters(letter: str, percent: float) -> None:
    found = tolerance_of_letter(letter)
    assert found == LetterTolerance(Decimal(str(percent)), Decimal(str(percent)))


@pytest.mark.parametrize(("letter", "percents"), ENTRIES["A-22"]["expected"].items())
def test_it_knows_the_asymmetric_letters(letter: str, percents: list[int]) -> None:
    assert tolerance_of_letter(letter) == LetterTolerance(Decimal(percents[0]), Decimal(percents[1]))


@pytest.mark.parametrize("letter", ["", "j", "A", "JJ", "R"])
def test_it_refuses_other_letters(letter: str) -> None:
    with pytest.raises(PreferredValueError, match="not a tolerance letter"):
        tolerance_of_letter(letter)


def test_it_refuses_a_negative_tolerance() -> None:
    with pytest.raises(QuantityError):
        LetterTolerance(Decimal(-1), Decimal(1))
