import pytest

from logbook.core.errors import DecisionError, LimitError
from logbook.core.limits import parse_limits
from logbook.core.verdict import Verdict, judge_count, judge_yes_no


@pytest.mark.parametrize(
    ("limits", "n", "trials", "verdict", "reason"),
    [
        pytest.param("0 errors", 0, None, Verdict.PASS, "counted 0, asked for 0 errors", id="none"),
        pytest.param("0 errors", 1, 10**6, Verdict.FAIL, "counted 1, asked for 0 errors", id="one"),
        pytest.param("100 of 100", 100, 100, Verdict.PASS, "100 of 100, asked for 100 of 100", id="all"),
        pytest.param("100 of 100", 50, 50, None, "50 of 100 trials done, 50 counted", id="half way"),
        pytest.param(
            "100 of 100", 49, 50, Verdict.FAIL, "49 of 50: 1 missed, 0 of 100 allowed", id="one missed"
        ),
        pytest.param("100 of 100", 150, 150, Verdict.PASS, "150 of 150, asked for 100 of 100", id="more"),
        pytest.param(">= 98 of 100", 98, 100, Verdict.PASS, "98 of 100, asked for ≥ 98 of 100", id="enough"),
        pytest.param(
            ">= 98 of 100", 97, 100, Verdict.FAIL, "97 of 100: 3 missed, 2 of 100 allowed", id="short"
        ),
        pytest.param(">= 98 of 100", 48, 50, None, "50 of 100 trials done, 48 counted", id="two missed"),
        pytest.param("<= 2 of 100", 3, 40, Verdict.FAIL, "3 of 40, at most 2 of 100 allowed", id="too many"),
        pytest.param("100 of 100", 0, 0, None, "0 of 100 trials done, 0 counted", id="not begun"),
    ],
)
def test_it_judges_counts(limits, n, trials, verdict, reason):
    judgement = judge_count(parse_limits(limits), n, trials)
    assert (judgement.verdict, judgement.reason) == (verdict, reason)
    assert judgement.rule == ("none" if verdict is None else "simple")
    assert (judgement.conformance_probability, judgement.decidable) == (None, True)


@pytest.mark.parametrize(
    ("limits", "n", "trials", "where"),
    [
        pytest.param("0 errors", -1, None, "n", id="negative"),
        pytest.param("100 of 100", 51, 50, "n", id="more than tried"),
        pytest.param("100 of 100", 50, None, "trials", id="trials missing"),
    ],
)
def test_it_refuses_impossible_counts(limits, n, trials, where):
    with pytest.raises(DecisionError) as caught:
        judge_count(parse_limits(limits), n, trials)
    assert caught.value.where == where


@pytest.mark.parametrize(
    ("limits", "answer", "verdict", "reason"),
    [
        ("yes", True, Verdict.PASS, "yes, as expected"),
        ("yes", False, Verdict.FAIL, "no, where yes is expected"),
        ("no", False, Verdict.PASS, "no, as expected"),
        ("no", True, Verdict.FAIL, "yes, where no is expected"),
    ],
)
def test_it_judges_answers(limits, answer, verdict, reason):
    judgement = judge_yes_no(parse_limits(limits), answer)
    assert (judgement.verdict, judgement.reason) == (verdict, reason)


def test_it_refuses_limits_of_another_kind():
    with pytest.raises(LimitError):
        judge_count(parse_limits("yes"), 1, None)
    with pytest.raises(LimitError):
        judge_yes_no(parse_limits("0 errors"), True)
