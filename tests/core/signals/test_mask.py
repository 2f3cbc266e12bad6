"""Masks: worst point, margin, coverage."""

from __future__ import annotations

import pytest

from logbook.core.errors import SignalError
from logbook.core.signals.mask import check_mask, parse_mask

FLAT = "interpolation: log\nfrequency, lower, upper\n20, -0.5, 0.5\n20000, -0.5, 0.5"


def test_a_curve_on_its_limit_is_inside() -> None:
    found = check_mask(parse_mask(FLAT), [20, 1000, 20000], [0.5, 0, -0.5])
    assert found.is_inside
    assert found.margin == 0


def test_it_names_the_worst_point() -> None:
    found = check_mask(parse_mask(FLAT), [20, 1000, 20000], [0, 0.7, -0.6])
    assert (found.is_inside, found.worst_at, found.worst_side, found.points_outside) == (
        False,
        1000,
        "upper",
        2,
    )
    assert found.margin == pytest.approx(-0.2)


def test_a_curve_is_judged_at_the_corners_of_the_mask() -> None:
    mask = parse_mask([(1, None, 0), (10, None, -20), (100, None, 0)])
    found = check_mask(mask, [1, 100], [-5, -5])
    assert found.worst_at == 10
    assert found.margin == pytest.approx(-15)


def test_a_curve_that_ends_early_is_not_inside() -> None:
    found = check_mask(parse_mask(FLAT), [20, 1000], [0, 0])
    assert (found.is_covered, found.is_inside, found.points_outside) == (False, False, 0)


def test_limits_run_straight_over_the_axis_named() -> None:
    rows = [(1, None, 0), (100, None, 2)]
    assert check_mask(parse_mask(rows), [1, 10, 100], [-9, 0, -9]).worst_limit == pytest.approx(1)
    linear = check_mask(parse_mask(rows, "linear"), [1, 50.5, 100], [-9, 0, -9])
    assert linear.worst_limit == pytest.approx(1)


def test_both_limits_hold_at_a_step() -> None:
    mask = parse_mask("1, -1, 1\n10, -1, 1\n10, -3, 3\n100, -3, 3")
    assert not check_mask(mask, [1, 10, 100], [0, 2, 0]).is_inside
    assert check_mask(mask, [1, 10, 11, 100], [0, 0, 2, 2]).is_inside


@pytest.mark.parametrize(
    "text",
    [
        "",
        "20, 1, 2",
        "20, 2, 1\n30, 2, 1",
        "30, 1, 2\n20, 1, 2",
        "0, 1, 2\n1, 1, 2",
        "1, -, -\n2, -, -",
        "1, x, 2\n2, 1, 2",
        "1, nan, 2\n2, 1, 2",
        "1, 2\n2, 3",
    ],
)
def test_it_refuses_what_is_no_mask(text: str) -> None:
    with pytest.raises(SignalError):
        parse_mask(text)
