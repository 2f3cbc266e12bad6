import pytest

from logbook.core.errors import UncertaintyError
from logbook.core.uncertainty import divisor

from .golden import ENTRIES, within


@pytest.mark.parametrize("key", ["C-08", "C-09", "C-10"])
def test_it_turns_a_half_width_into_a_standard_uncertainty(key):
    entry = ENTRIES[key]
    assert entry["inputs"]["a"] / divisor(entry["inputs"]["kind"]) == within(entry, entry["expected"])


def test_it_agrees_with_the_example_of_copper():
    entry = ENTRIES["C-12"]
    assert entry["inputs"]["a"] / divisor("rectangular") == within(entry, entry["expected"]["value"])


def test_it_serves_asymmetric_bounds_through_their_mean_half_width():
    entry = ENTRIES["C-13"]
    half_width = (entry["inputs"]["bp"] + entry["inputs"]["bm"]) / 2
    assert half_width / divisor("rectangular") == within(entry, entry["expected"])


@pytest.mark.parametrize("kind", ["normal", "student"])
def test_it_leaves_a_standard_deviation_as_it_is(kind):
    assert divisor(kind) == 1.0


def test_it_names_the_distributions_it_knows():
    with pytest.raises(UncertaintyError, match="trapezoidal") as caught:
        divisor("trapezoidal")
    assert "arcsine" in caught.value.allowed
