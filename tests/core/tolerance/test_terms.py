from typing import Any

import pytest

from logbook.core.errors import ToleranceError
from logbook.core.tolerance import stack_terms
from tests.core.tolerance.golden import agrees, cases


@pytest.mark.parametrize("case", cases("terms"))
def test_it_adds_up_an_accuracy_statement(case: dict[str, Any]) -> None:
    found = stack_terms(case["inputs"]["terms_percent"])
    assert agrees(case, {"worst_case": found.worst_case, "rss": found.root_sum_square})


@pytest.mark.parametrize("terms", [[], [float("nan")], [float("inf"), 1]], ids=str)
def test_it_refuses_what_cannot_be_added(terms: list[float]) -> None:
    with pytest.raises(ToleranceError):
        stack_terms(terms)
