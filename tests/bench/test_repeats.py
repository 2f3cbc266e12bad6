"""Readings that were repeated: their mean, and what their scatter does to the uncertainty."""

from __future__ import annotations

import math
import statistics
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import GTC
import pytest
from scipy import stats

from logbook.bench.commands import ReadingInput, add_instrument, record_readings
from logbook.bench.commands.identity import content_digest_of, key_of
from logbook.bench.commands.importing import import_readings
from logbook.bench.commands.repeats import mean_of, repeats_in
from logbook.bench.models import Instrument, Measurement
from logbook.common.errors import ConflictError, InvalidInputError
from tests.builders import Bench

NOON = datetime(2026, 5, 2, 12, tzinfo=UTC)
FIVE = ("3.298", "3.301", "3.299", "3.302", "3.297")


@pytest.fixture
def rail(bench: Bench) -> Bench:
    bench.target()
    return bench


@pytest.fixture
def meter(bench: Bench) -> Instrument:
    accuracy = {"percent_of_reading": "0.05", "counts": "3", "resolution": "0.001"}
    ranges = [{"name": "10 V", "unit": "V", "full_scale": "10", **accuracy}]
    return add_instrument(actor=bench.actor, name="DMM-1", kind="meter", ranges=ranges)


def refused(bench: Bench, value: Any = "", **given: Any) -> Any:
    with pytest.raises(InvalidInputError) as caught:
        bench.read(value, **given)
    return caught.value.problems[0]


def test_the_value_of_repeats_is_their_mean(rail: Bench) -> None:
    one = rail.read("", repeats=FIVE)
    assert (one.value, one.unit, one.text) == ("3.2994", "V", "mean of 5")
    assert one.repeats == list(FIVE)


@pytest.mark.parametrize(
    ("values", "mean"),
    [
        (["3.300", "3.302"], "3.301"),
        (["3.300", "3.300", "3.301"], "3.3003333"),
        (["1", "2", "2"], "1.6666667"),
        (["1e3", "2e3"], "1500"),
        (["-0.1", "0.1"], "0.0"),
        (["5.0", "5.0"], "5.0"),
    ],
)
def test_a_mean_keeps_a_few_digits_more_than_was_typed(values: list[str], mean: str) -> None:
    assert str(mean_of([Decimal(value) for value in values])) == mean


def test_scatter_and_instrument_enter_the_uncertainty_together(rail: Bench, meter: Instrument) -> None:
    one = rail.read("", repeats=FIVE, instrument=meter.name)
    bound = 0.05 / 100 * 3.2994 + 3 * 0.001
    scatter = GTC.type_a.estimate([float(value) for value in FIVE])
    result = scatter + GTC.ureal(0, bound / math.sqrt(3))
    k = stats.t.ppf((1 + 0.9545) / 2, math.floor(result.df))
    assert one.degrees_of_freedom == pytest.approx(result.df)
    assert float(one.coverage_factor) == pytest.approx(k, rel=1e-6)
    assert float(one.expanded_uncertainty) == pytest.approx(k * result.u, rel=1e-3)
    assert one.uncertainty_base == pytest.approx(result.u, rel=1e-3)
    assert one.uncertainty_from == "instrument"


def test_without_an_accuracy_the_scatter_stands_alone(rail: Bench) -> None:
    one = rail.read("", repeats=FIVE)
    s = statistics.stdev(map(float, FIVE))
    expected = stats.t.ppf(0.97725, 4) * s / math.sqrt(5)
    assert float(one.expanded_uncertainty) == pytest.approx(expected, rel=1e-3)
    assert (one.uncertainty_from, one.degrees_of_freedom) == ("repeats", 4)


def test_repeats_that_agree_are_no_statement_of_uncertainty(rail: Bench) -> None:
    one = rail.read("", repeats=["3.3", "3.3"])
    assert (one.expanded_uncertainty, one.uncertainty_from, one.rule) == ("", "", "simple")


def test_a_stated_uncertainty_wins(rail: Bench, meter: Instrument) -> None:
    one = rail.read("", repeats=FIVE, expanded_uncertainty="0.01", instrument=meter.name)
    assert (one.expanded_uncertainty, one.uncertainty_from, one.degrees_of_freedom) == (
        "0.01",
        "stated",
        None,
    )
    assert one.repeats == list(FIVE)


def test_the_range_holds_the_largest_repeat(bench: Bench) -> None:
    bench.target("P", "<= 20 V")
    accuracy = {"percent_of_reading": "1"}
    ranges = [{"name": full, "unit": "V", "full_scale": full, **accuracy} for full in ("10", "100")]
    add_instrument(actor=bench.actor, name="DMM-2", kind="meter", ranges=ranges)
    one = bench.read("", "P", repeats=["9.9", "10.1"], instrument="DMM-2")
    assert str(one.instrument_range) == "100"


@pytest.mark.parametrize("value", ["3.2994", "3.299", "3.3", 3.2994, "3299.4 mV", "3"])
def test_a_value_that_is_the_mean_to_its_digits_stands(rail: Bench, value: Any) -> None:
    one = rail.read(value, repeats=FIVE)
    assert Decimal(one.repeats[0]) == Decimal("3298" if one.unit == "mV" else "3.298")
    assert one.text == str(value)


def test_the_mean_of_a_script_in_binary_stands(rail: Bench) -> None:
    values = [3.3, 3.3, 3.301]
    assert rail.read(sum(values) / 3, repeats=values).repeats == ["3.3", "3.3", "3.301"]


def test_another_value_is_refused_naming_both(rail: Bench) -> None:
    problem = refused(rail, "3.298", repeats=FIVE)
    assert (problem.field, problem.given) == ("value", "3.298")
    assert "3.298" in problem.message
    assert "3.2994 V" in problem.message


def test_repeats_may_carry_units(rail: Bench) -> None:
    one = rail.read("", repeats=["3298 mV", "3.302 V"])
    assert (one.value, one.unit, one.repeats) == ("3300", "mV", ["3298", "3302"])


@pytest.mark.parametrize(
    ("repeats", "said"),
    [
        (["3.3"], "1 value is"),
        (["3.3"] * 1_001, "1001 values are"),
        ("3.3 3.4", "a list"),
        (["3.3", True], "repeat 2"),
        (["3.3", "3,3"], "repeat 2"),
        (["3.3", "x"], "repeat 2"),
        (["3.3", "3.3 A"], "repeat 2"),
        (["3.3", ""], "repeat 2"),
        (["3.3", "inconclusive"], "repeat 2"),
        (["3.3", float("nan")], "repeat 2"),
        (["3.3", "1\0"], "character"),
    ],
    ids=lambda given: str(given)[:20].replace("\0", "0"),
)
def test_what_is_no_repeat_is_refused(rail: Bench, repeats: Any, said: str) -> None:
    problem = refused(rail, repeats=repeats)
    assert problem.field == "repeats"
    assert said in problem.message


def test_only_a_number_is_repeated(bench: Bench) -> None:
    bench.target("Y", "yes", kind="yes/no")
    bench.target()
    assert refused(bench, "yes", target="Y", repeats=["1", "1"]).field == "repeats"
    assert refused(bench, "inconclusive", repeats=FIVE).field == "value"


def test_a_loose_reading_may_be_repeated(bench: Bench) -> None:
    one = bench.read("", "", repeats=["1.00 V", "1.02 V"], place="TP9")
    assert (one.value, one.unit, one.verdict) == ("1.01", "V", "")


def test_repeats_tell_readings_apart_but_leave_old_keys_alone(rail: Bench) -> None:
    alone = ReadingInput(project="tern", board="0001", value="3.3", target="RLD-2", taken_at=NOON)
    repeated = ReadingInput(
        project="tern", board="0001", value="3.3", target="RLD-2", taken_at=NOON, repeats=FIVE
    )
    # The key of a reading without repeats as it was before there were any.
    assert key_of(alone, identity_required=True) == (
        "e0317de3d259dad9bffb65c38e805d836bfe1f6b3caf243a32152467a74d9ece"
    )
    assert key_of(repeated, identity_required=True) != key_of(alone, identity_required=True)
    assert content_digest_of(repeated) != content_digest_of(alone)


def test_sending_it_again_stores_nothing_twice(rail: Bench) -> None:
    item = ReadingInput(project="tern", board="0001", target="RLD-2", taken_at=NOON, repeats=FIVE)
    again = record_readings(actor=rail.actor, items=[item, item])
    assert [one.status for one in again] == ["stored", "duplicate"]


def test_the_same_key_with_other_repeats_is_a_conflict(rail: Bench) -> None:
    rail.read("3.3", repeats=FIVE, key="k")
    with pytest.raises(ConflictError):
        rail.read("3.3", repeats=FIVE[:4], key="k")


@pytest.mark.parametrize("header", ["board,target,repeats,key", "board,target,value,repeats,key"])
def test_a_table_may_hold_repeats(rail: Bench, header: str) -> None:
    value = "," if "value" in header else ""
    table = f"{header}\n0001,RLD-2,{value}3.298 3.301 3.299,k1\n"
    report = import_readings(actor=rail.actor, project=rail.project, data=table.encode())
    assert not report.rejected
    assert Measurement.objects.get().repeats == ["3.298", "3.301", "3.299"]


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("3.3 3.4", ("3.3", "3.4")),
        ("3.3 V\n3.4 V\n", ("3.3 V", "3.4 V")),
        ("3.3 V 3.4 V; -1", ("3.3 V", "3.4 V", "-1")),
        (" \n ", ()),
    ],
)
def test_it_finds_the_values_in_a_text(text: str, values: tuple[str, ...]) -> None:
    assert repeats_in(text) == values
