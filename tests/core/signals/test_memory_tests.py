"""Memory tests state a bound, not zero."""

from __future__ import annotations

import pytest

from logbook.core.errors import SignalError
from logbook.core.signals import memory_test


def test_no_error_is_bounded_from_above_about_by_three_over_n() -> None:
    found = memory_test(1_000_000, 0, "march C-")
    assert found.error_rate == 0
    # Rule of three, exact form, common practice.
    assert found.upper_error_rate == pytest.approx(1 - 0.05 ** (1 / 1_000_000), rel=1e-9)


def test_its_numbers_name_the_pattern() -> None:
    assert memory_test(100, 2, "data walk").numbers()[0].statement == "pattern data walk"


def test_it_refuses_a_test_without_a_pattern() -> None:
    with pytest.raises(SignalError):
        memory_test(1, 0, " ")
