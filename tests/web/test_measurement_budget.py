"""The page of a reading shows how its uncertainty comes about."""

from __future__ import annotations

import re

import GTC
import pytest
from django.test import Client

from logbook.bench.commands import add_instrument, set_ranges
from logbook.bench.models import Instrument, Measurement
from logbook.bench.queries.budget import budget_of
from logbook.bench.queries.verification import discrepancies_of
from tests.builders import Bench

FIVE = ("3.298", "3.301", "3.299", "3.302", "3.297")
RANGE = {
    "name": "10 V", "unit": "V", "full_scale": "10",
    "percent_of_reading": "0.05", "counts": "3", "resolution": "0.001",
}  # fmt: skip


@pytest.fixture
def meter(bench: Bench) -> Instrument:
    bench.target()
    return add_instrument(actor=bench.actor, name="DMM-1", kind="meter", ranges=[RANGE])


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    client.force_login(bench.reader)
    return client


def text_of(client: Client, one: Measurement) -> str:
    return re.sub(r"\s+", " ", client.get(f"/p/tern/measurements/{one.pk}/").content.decode())


def test_it_shows_every_contribution(bench: Bench, meter: Instrument, reader: Client) -> None:
    one = bench.read("", repeats=FIVE, instrument=meter.name)
    text = text_of(reader, one)
    for said in (
        "instrument",
        "rectangular",
        "1.7321",
        "repeats",
        "student",
        "JCGM 100",
        "3.298 3.301",
        "s/√n",
    ):
        assert said in text
    assert f"{one.expanded_uncertainty} V" in text


def test_shares_and_divisors_agree_with_another_library(bench: Bench, meter: Instrument) -> None:
    budget = budget_of(bench.read("", repeats=FIVE, instrument=meter.name))
    assert budget is not None
    scatter = GTC.type_a.estimate([float(value) for value in FIVE], label="repeats")
    bound = 0.0005 * 3.2994 + 0.003
    instrument = GTC.ureal(0, GTC.type_b.uniform(bound), label="instrument")
    expected = {row.label: row.u for row in GTC.reporting.budget(scatter + instrument)}
    assert {line.name: line.standard_uncertainty for line in budget.lines} == pytest.approx(expected)
    total = sum(u * u for u in expected.values())
    assert [line.share for line in budget.lines] == pytest.approx(
        [expected[line.name] ** 2 / total for line in budget.lines]
    )


def test_a_range_stated_anew_leaves_what_was_kept(bench: Bench, meter: Instrument, reader: Client) -> None:
    one = bench.read("3.3", instrument=meter.name)
    set_ranges(actor=bench.actor, instrument=meter, ranges=[RANGE | {"counts": "30"}])
    text = text_of(reader, one)
    assert "changed or removed since" in text
    assert f"{one.expanded_uncertainty} V" in text
    assert not list(discrepancies_of(bench.project))


def test_a_stated_uncertainty_has_no_budget_and_wins(bench: Bench, meter: Instrument, reader: Client) -> None:
    text = text_of(reader, bench.read("", repeats=FIVE, expanded_uncertainty="0.0001"))
    assert "The stated one wins" in text
    assert "smaller than the scatter" in text


def test_repeats_alone_say_what_they_do_not_cover(bench: Bench, meter: Instrument, reader: Client) -> None:
    assert "a common offset is not covered" in text_of(reader, bench.read("", repeats=FIVE))


def test_repeats_that_agree_state_nothing(bench: Bench, meter: Instrument, reader: Client) -> None:
    assert "no uncertainty is stated" in text_of(reader, bench.read("", repeats=["3.3", "3.3"]))


def test_without_either_there_is_no_such_part(bench: Bench, meter: Instrument, reader: Client) -> None:
    assert 'id="budget"' not in text_of(reader, bench.read("3.3"))


def test_verify_finds_an_uncertainty_that_was_tampered_with(bench: Bench, meter: Instrument) -> None:
    one = bench.read("", repeats=FIVE, instrument=meter.name)
    assert not list(discrepancies_of(bench.project))
    Measurement.objects.filter(pk=one.pk).update(repeats=["3.298", "3.301"])
    assert [found.kind for found in discrepancies_of(bench.project)] == ["uncertainty"]
