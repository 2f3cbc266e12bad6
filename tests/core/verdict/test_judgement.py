from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import DecisionError, LimitError, UncertaintyError
from logbook.core.limits import parse_limits
from logbook.core.verdict import Verdict, conformance_probability, judge_number

from .golden import ENTRIES, dec, limits_v, within

RAIL = parse_limits("3.135 V to 3.465 V")


def judged(limits, value, u=None, **how):
    return judge_number(parse_limits(limits), Decimal(value), expanded_uncertainty=dec(u), **how)


@pytest.mark.parametrize("key", ["D-14", "D-15", "D-16"])
def test_it_gives_the_published_verdicts(key):
    given_ = ENTRIES[key]["inputs"]
    limits, w = limits_v(dec(given_["TL"]), dec(given_["TU"])), dec(given_["w"])
    found = [judge_number(limits, dec(y), expanded_uncertainty=w).verdict for y in given_["y"]]
    assert found == ENTRIES[key]["expected"]


@pytest.mark.parametrize("u", [None, Decimal(0)], ids=["no U", "U = 0"])
def test_it_knows_only_pass_and_fail_by_simple_acceptance(u):
    given_ = ENTRIES["D-17"]["inputs"]
    limits = limits_v(dec(given_["TL"]), dec(given_["TU"]))
    found = [judge_number(limits, dec(y), expanded_uncertainty=u).verdict for y in given_["y"]]
    assert found == ENTRIES["D-17"]["expected"]


@pytest.mark.parametrize(
    "key", ["D-01", "D-02", "D-03", "D-07", "D-08", "D-09", "D-10", "D-11", "D-12", "D-13"]
)
def test_it_carries_the_conformance_probability(key):
    entry = ENTRIES[key]
    given_ = entry["inputs"]
    judgement = judge_number(
        limits_v(dec(given_.get("TL")), dec(given_["TU"])),
        dec(given_["y"]),
        expanded_uncertainty=3 * dec(given_["u"]),
        coverage_factor=Decimal(3),
        degrees_of_freedom=given_.get("nu"),
    )
    assert judgement.conformance_probability == within(entry, entry["expected"])


def test_it_carries_the_test_uncertainty_ratio():
    entry = ENTRIES["D-06"]
    u = 2 * dec(entry["inputs"]["u"])
    judgement = judge_number(RAIL, Decimal("3.3"), expanded_uncertainty=u)
    assert judgement.test_uncertainty_ratio == within(entry, entry["expected"])


@pytest.mark.parametrize(
    ("limits", "value", "u", "reason"),
    [
        pytest.param(
            "3.3 V ± 2 %",
            "3.317",
            "0.001",
            "inside 3.234 … 3.366 V by 49 mV, 49 times the uncertainty U = 1 mV",
            id="pass",
        ),
        pytest.param(
            "<= 30 mV",
            "29",
            "2",
            "inside ≤ 30 mV by 1 mV, but within its uncertainty of 2 mV of the limit",
            id="near",
        ),
        pytest.param(
            "<= 30 mV",
            "31",
            "2",
            "outside ≤ 30 mV by 1 mV, but within its uncertainty of 2 mV of the limit",
            id="just out",
        ),
        pytest.param(
            ">= 90 dB",
            "86.01",
            "2",
            "outside ≥ 90 dB by 3.99 dB, 1.9 times the uncertainty U = 2 dB",
            id="never rounded up",
        ),
        pytest.param(
            "<= 30 mV",
            "30",
            "2",
            "exactly on a limit of ≤ 30 mV, but within its uncertainty of 2 mV of the limit",
            id="on the limit",
        ),
        pytest.param(
            "<= 30 mV",
            "29",
            None,
            "inside ≤ 30 mV by 1 mV; no stated uncertainty: judged by simple acceptance",
            id="no U",
        ),
        pytest.param(
            "10 mV to 20 mV",
            "15",
            "6",
            "inside 10 … 20 mV by 5 mV, but within its uncertainty of 6 mV of the limit; "
            "undecidable: with an uncertainty of 6 mV no reading could pass; 5 mV or less would do",
            id="undecidable",
        ),
        pytest.param(
            "<= 3 V",
            "2.9991",
            "0.002",
            "inside ≤ 3 V by 0.9 mV, but within its uncertainty of 2 mV of the limit",
            id="one prefix",
        ),
        pytest.param("<= 30 mV", "29", "0", "inside ≤ 30 mV by 1 mV", id="U = 0"),
        pytest.param(
            "<= 0 dBm", "-1", "0.5", "inside ≤ 0 dBm by 1 dB, 2 times the uncertainty U = 0.5 dB", id="levels"
        ),
        pytest.param(
            "<= 30 V",
            "2",
            "0.001",
            "inside ≤ 30 V by 28 V, more than 1000 times the uncertainty U = 1 mV",
            id="far",
        ),
    ],
)
def test_it_says_why(limits, value, u, reason):
    assert judged(limits, value, u).reason == reason


def test_it_says_when_simple_acceptance_was_asked_for():
    judgement = judged("<= 30 mV", "29", "2", rule="simple")
    assert (judgement.verdict, judgement.rule) == (Verdict.PASS, "simple")
    assert judgement.reason == "inside ≤ 30 mV by 1 mV; judged by simple acceptance"
    assert judgement.conformance_probability == pytest.approx(conformance_probability(29, 1, None, 30))


def test_it_says_nothing_about_chances_without_uncertainty():
    judgement = judged("3.3 V ± 5 %", "3.3")
    assert judgement.conformance_probability is judgement.test_uncertainty_ratio is None
    assert judgement.rule == "simple"


@pytest.mark.parametrize(
    ("limits", "value", "margin", "percent"),
    [
        pytest.param("3.135 V to 3.465 V", "3.4485", "0.0165", 10.0, id="of the half-width"),
        pytest.param("<= 20 mV", "25", "-5", -25.0, id="of an upper limit"),
        pytest.param(">= -12 V", "-9", "3", 25.0, id="of a negative limit"),
        pytest.param("<= 0 dBm", "-3", "3", None, id="of zero"),
    ],
)
def test_it_measures_the_margin(limits, value, margin, percent):
    judgement = judged(limits, value)
    assert judgement.margin == Decimal(margin)
    assert judgement.margin_percent == (None if percent is None else pytest.approx(percent))


@pytest.mark.parametrize(
    ("limits", "u", "floor", "decidable", "would_do"),
    [
        pytest.param("10 V to 20 V", "5", None, True, None, id="just"),
        pytest.param("10 V to 20 V", "5.001", None, False, "5", id="too wide"),
        pytest.param("<= 20 mVrms", "20", None, True, None, id="zero alone could pass"),
        pytest.param("<= 20 mVrms", "20.1", None, False, "20", id="noise cannot be below 0"),
        pytest.param("<= 20 mV", "21", None, True, None, id="a voltage can"),
        pytest.param("<= 20 mV", "21", "0", False, "20", id="unless it has a floor"),
        pytest.param(">= 20 mVrms", "50", None, True, None, id="open upwards"),
        pytest.param("<= -1 V", "0.5", "0", False, None, id="limit beyond the floor"),
    ],
)
def test_it_flags_what_no_reading_could_pass(limits, u, floor, decidable, would_do):
    judgement = judged(limits, "3", u, floor=dec(floor))
    assert (judgement.decidable, judgement.deciding_uncertainty) == (decidable, dec(would_do))
    assert ("undecidable" in judgement.reason) is not decidable


def test_it_keeps_the_zone_of_an_undecidable_reading():
    # 2 w = 8 mV against limits 6 mV apart: the middle is inside, never provably.
    assert judged("1 mV to 7 mV", "4", "4").verdict == Verdict.CONDITIONAL_PASS


def test_it_can_always_decide_by_simple_acceptance():
    assert judged("10 V to 20 V", "15", "9", rule="simple").decidable


def test_it_lets_a_reading_pass_with_the_uncertainty_that_would_do():
    would_do = judged("10 V to 20 V", "15", "9").deciding_uncertainty
    assert judged("10 V to 20 V", "15", would_do).verdict == Verdict.PASS


millivolts = st.integers(-100_000, 100_000)


@given(millivolts, millivolts, st.integers(0, 10_000), st.integers(0, 5_000))
def test_it_judges_the_same_in_any_unit(value, low, width, u):
    in_mv = limits_v(Decimal(low), Decimal(low + width), "mV")
    one = judge_number(in_mv, Decimal(value), expanded_uncertainty=Decimal(u))
    other = judge_number(
        in_mv.in_unit("V"), Decimal(value).scaleb(-3), expanded_uncertainty=Decimal(u).scaleb(-3)
    )
    assert one.verdict == other.verdict
    assert one.decidable == other.decidable
    assert one.conformance_probability == pytest.approx(other.conformance_probability, rel=1e-9, abs=1e-300)


@given(millivolts, millivolts, st.integers(0, 10_000), st.integers(0, 5_000))
def test_it_judges_the_same_in_a_mirror(value, low, width, u):
    limits, mirrored = (
        limits_v(Decimal(low), Decimal(low + width)),
        limits_v(Decimal(-low - width), Decimal(-low)),
    )
    one = judge_number(limits, Decimal(value), expanded_uncertainty=Decimal(u))
    other = judge_number(mirrored, Decimal(-value), expanded_uncertainty=Decimal(u))
    assert (one.verdict, one.margin, one.decidable) == (other.verdict, other.margin, other.decidable)
    assert 0.0 <= one.conformance_probability <= 1.0


@given(millivolts, st.integers(0, 5_000), st.integers(0, 5_000))
def test_it_is_never_surer_with_more_uncertainty(value, u, more):
    less_sure = judge_number(
        RAIL, Decimal(value).scaleb(-3), expanded_uncertainty=Decimal(u + more).scaleb(-3)
    )
    surer = judge_number(RAIL, Decimal(value).scaleb(-3), expanded_uncertainty=Decimal(u).scaleb(-3))
    assert less_sure.verdict.is_failing == surer.verdict.is_failing
    certain = {Verdict.PASS, Verdict.FAIL}
    assert less_sure.verdict not in certain or surer.verdict in certain


@pytest.mark.parametrize(
    ("limits", "value", "how", "error"),
    [
        pytest.param("yes", "1", {}, LimitError, id="not a number"),
        pytest.param("0 errors", "1", {}, LimitError, id="a count"),
        pytest.param("<= 1 V", "nan", {}, DecisionError, id="value is nan"),
        pytest.param("<= 1 V", "1", {"rule": "lenient"}, DecisionError, id="unknown rule"),
        pytest.param("<= 1 V", "1", {"u": "-1"}, UncertaintyError, id="negative U"),
        pytest.param("<= 1 V", "1", {"u": "inf"}, UncertaintyError, id="infinite U"),
        pytest.param("<= 1 V", "1", {"u": "1", "coverage_factor": Decimal(0)}, UncertaintyError, id="k = 0"),
        pytest.param("<= 1 V", "1", {"u": "1", "degrees_of_freedom": 0}, UncertaintyError, id="no freedom"),
    ],
)
def test_it_refuses_to_judge(limits, value, how, error):
    with pytest.raises(error):
        judged(limits, value, **how)
