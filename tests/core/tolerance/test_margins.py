import pytest

from logbook.core.errors import ToleranceError
from logbook.core.tolerance import fit_within
from tests.core.tolerance.golden import agrees, entry


def test_it_compares_a_band_with_its_limits() -> None:
    (low, high), (limit_low, limit_high) = entry("B-15")["inputs"].values()
    found = fit_within(low, high, limit_low=limit_low, limit_high=limit_high)
    assert agrees(
        entry("B-15"),
        {"inside": found.inside, "margin_low": found.margin_low, "margin_high": found.margin_high},
    )


def test_a_limit_belongs_to_what_it_limits() -> None:
    assert fit_within(1, 2, limit_low=1, limit_high=2).inside
    assert not fit_within(1, 2.1, limit_low=None, limit_high=2).inside


def test_it_needs_a_limit() -> None:
    with pytest.raises(ToleranceError):
        fit_within(1, 2, limit_low=None, limit_high=None)


def test_an_end_that_was_rounded_outwards_onto_its_limit_keeps_it() -> None:
    found = fit_within(4.749999999999999, 5.250000000000001, limit_low=4.75, limit_high=5.25)
    assert (found.inside, found.margin_low, found.margin_high) == (True, 0.0, 0.0)
