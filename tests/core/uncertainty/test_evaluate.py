import math
from decimal import Decimal

import GTC
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import UncertaintyError
from logbook.core.uncertainty import Accuracy, evaluate_reading

from .golden import ENTRIES, within

HANDHELD = Accuracy(percent_of_reading=Decimal("0.5"), counts=Decimal(2), resolution=Decimal("0.001"))
REPEATS = [Decimal(text) for text in ("3.298", "3.301", "3.299", "3.302")]


def test_it_takes_the_bound_of_a_meter_as_rectangular():
    entry = ENTRIES["C-24"]
    result = evaluate_reading(Decimal("5.000"), HANDHELD)
    assert result.bound == Decimal(str(entry["expected"]["limit"]))
    assert result.standard_uncertainty == within(entry, entry["expected"]["u_rect"])
    assert (result.effective_degrees_of_freedom, result.coverage_factor) == (None, 2.0)
    # 2 x 0.0155884... rounded up to four digits.
    assert result.expanded_uncertainty == Decimal("0.03118")


def test_it_adds_the_display_step_where_the_statement_has_no_counts():
    entry = ENTRIES["C-14"]
    d = Decimal(str(entry["inputs"]["d"]))
    instrument, step = evaluate_reading(Decimal(5), Accuracy(absolute=Decimal("0.01"), resolution=d)).budget
    assert step.name == "resolution"
    assert step.standard_uncertainty == within(entry, entry["expected"])
    assert instrument.share + step.share == pytest.approx(1.0)


def test_it_does_not_count_the_display_step_twice():
    assert [line.name for line in evaluate_reading(Decimal(5), HANDHELD).budget] == ["instrument"]


def test_it_evaluates_repeats_alone():
    entry = ENTRIES["C-07"]
    repeats = [Decimal(str(value)) for value in entry["inputs"]["data"]]
    result = evaluate_reading(repeats[0], None, repeats=repeats)
    assert float(result.mean) == within(entry, entry["expected"]["mean"])
    assert result.standard_uncertainty == within(entry, entry["expected"]["u"])
    assert (result.bound, result.n, result.effective_degrees_of_freedom) == (0, 20, 19.0)


def test_it_joins_instrument_and_repeats_as_another_library_does():
    result = evaluate_reading(REPEATS[0], HANDHELD, repeats=REPEATS)
    scatter = GTC.type_a.estimate([float(value) for value in REPEATS])
    instrument = GTC.ureal(0.0, GTC.type_b.uniform(float(result.bound)))
    total = scatter + instrument
    assert result.standard_uncertainty == pytest.approx(total.u, rel=1e-12)
    assert result.effective_degrees_of_freedom == pytest.approx(total.df, rel=1e-9)
    assert result.mean == Decimal("3.3")


def test_it_widens_the_interval_of_few_repeats():
    # t for 3 degrees of freedom at 95.45 %: 3.31 (JCGM 100:2008, Table G.2).
    result = evaluate_reading(REPEATS[0], None, repeats=REPEATS)
    assert result.coverage_factor == pytest.approx(3.31, abs=0.006)
    (line,) = result.budget
    assert (line.divisor, line.degrees_of_freedom, line.share) == (2.0, 3.0, 1.0)
    assert line.standard_uncertainty == line.half_width_or_s / line.divisor


def test_it_keeps_microvolt_scatter_on_a_large_reading():
    repeats = [Decimal("100000.0000001"), Decimal("100000.0000002"), Decimal("100000.0000003")]
    assert evaluate_reading(repeats[0], None, repeats=repeats).budget[0].half_width_or_s == pytest.approx(
        1e-7
    )


def test_it_finds_nothing_uncertain_in_equal_repeats():
    result = evaluate_reading(Decimal(1), None, repeats=[Decimal(1)] * 3)
    assert (result.standard_uncertainty, result.expanded_uncertainty, result.coverage_factor) == (0.0, 0, 2.0)
    assert result.budget[0].share == 0.0


@given(st.integers(-5000, 5000), st.integers(1, 2000))
def test_it_expands_by_the_factor_it_names(millivolts, percent_thousandths):
    meter = Accuracy(percent_of_reading=Decimal(percent_thousandths) / 1000, absolute=Decimal("0.001"))
    result = evaluate_reading(Decimal(millivolts) / 1000, meter)
    exact = result.coverage_factor * float(result.bound) / math.sqrt(3)
    assert exact * (1 - 1e-11) <= result.expanded_uncertainty <= Decimal(exact * 1.0011)
    assert len(result.expanded_uncertainty.as_tuple().digits) <= 4


@pytest.mark.parametrize(
    ("reading", "accuracy", "repeats", "where"),
    [
        pytest.param(Decimal(1), None, [], "accuracy", id="nothing stated"),
        pytest.param(Decimal("nan"), HANDHELD, [], "reading", id="no number"),
        pytest.param(Decimal(1), HANDHELD, [Decimal(1)], "repeats", id="one repeat"),
        pytest.param(Decimal(1), HANDHELD, [Decimal(1), Decimal("inf")], "reading", id="infinite repeat"),
    ],
)
def test_it_says_what_is_missing(reading, accuracy, repeats, where):
    with pytest.raises(UncertaintyError) as caught:
        evaluate_reading(reading, accuracy, repeats=repeats)
    assert caught.value.where == where
