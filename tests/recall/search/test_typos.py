"""Words that a mistyped word may have been meant for."""

from __future__ import annotations

import pytest

from logbook.recall.search.typos import distance, keep_words, words_near


# kitten/sitting: the usual worked example of V. Levenshtein's distance. CA/ABC tells the restricted distance
# (3) from the unrestricted (2): L. Boytsov, Indexing methods for approximate dictionary searching, ACM JEA 16
# (2011), 2.2. The swap: F. J. Damerau, CACM 7 (1964).
@pytest.mark.parametrize(
    ("one", "two", "slips"),
    [("kitten", "sitting", 3), ("ca", "abc", 3), ("strat", "start", 1), ("same", "same", 0), ("", "ab", 2)],
)
def test_distance_is_that_of_the_literature(one: str, two: str, slips: int) -> None:
    assert distance(one, two, 5) == distance(two, one, 5) == slips


def test_above_the_most_it_only_says_so() -> None:
    assert distance("oscillator", "hydrophone", 2) == 3


@pytest.mark.django_db
def test_the_nearest_comes_first_and_keys_are_left_alone() -> None:
    keep_words(["corrosion", "corrosive", "erosion", "r88", "corrosion"])
    assert words_near("corosion")[0] == "corrosion"
    assert words_near("r89") == ()
