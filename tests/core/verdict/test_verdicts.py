import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.verdict import Verdict, worst_of


def test_it_ranks_the_worst_first():
    assert sorted(Verdict, key=lambda v: v.rank) == [
        Verdict.FAIL,
        Verdict.CONDITIONAL_FAIL,
        Verdict.CONDITIONAL_PASS,
        Verdict.PASS,
    ]


@pytest.mark.parametrize(("verdict", "failing"), list(zip(Verdict, [False, False, True, True], strict=True)))
def test_it_says_which_verdicts_are_failing(verdict, failing):
    assert verdict.is_failing is failing


@given(st.lists(st.sampled_from([*Verdict, None])))
def test_it_finds_the_worst_whatever_the_order(verdicts):
    ranks = [verdict.rank for verdict in verdicts if verdict]
    assert worst_of(verdicts) == worst_of(reversed(verdicts))
    assert (worst_of(verdicts) is None) if not ranks else (worst_of(verdicts).rank == min(ranks))
