"""A withdrawal needs a reason, is never undone, and its cell is derived anew."""

from __future__ import annotations

import pytest

from logbook.bench.commands import ReadingInput, record_reading, withdraw_measurement
from logbook.bench.models import CurrentResult, Measurement, Trial
from logbook.bench.queries.verification import discrepancies_of
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.common.models import ChangeRecord
from tests.builders import Bench


def withdraw(bench: Bench, measurement: Measurement, because: str = "probe slipped") -> Measurement:
    return withdraw_measurement(actor=bench.actor, measurement=measurement, because=because)


def test_it_keeps_when_who_and_why(bench: Bench) -> None:
    bench.target()
    withdrawn = withdraw(bench, bench.read("3.3"), "  probe slipped  ")
    assert (withdrawn.withdrawn_because, withdrawn.withdrawn_by) == ("probe slipped", bench.owner)
    assert withdrawn.is_withdrawn
    assert ChangeRecord.objects.filter(action="withdrawn").get().fields == {
        "withdrawn": ["", "probe slipped"]
    }


def test_twice_is_a_conflict_and_the_first_stands(bench: Bench) -> None:
    bench.target()
    reading = bench.read("3.3")
    withdraw(bench, reading)
    stale = Measurement.objects.get(pk=reading.pk)
    stale.withdrawn_at = None
    with pytest.raises(ConflictError, match="already withdrawn"):
        withdraw(bench, stale, "other reason")
    reading.refresh_from_db()
    assert reading.withdrawn_because == "probe slipped"


@pytest.mark.parametrize("because", ["", "   ", "x" * 301])
def test_it_needs_a_reason_of_reasonable_length(bench: Bench, because: str) -> None:
    bench.target()
    reading = bench.read("3.3")
    with pytest.raises(InvalidInputError):
        withdraw(bench, reading, because)
    assert CurrentResult.objects.exists()


def test_sending_its_key_again_does_not_bring_it_back(bench: Bench) -> None:
    bench.target()
    reading = bench.read("3.3", key="k")
    withdraw(bench, reading)
    again = record_reading(actor=bench.actor, item=ReadingInput("tern", "0001", "3.3", "RLD-2", key="k"))
    assert (again.status, again.measurement) == ("duplicate", reading)
    assert again.measurement is not None
    assert again.measurement.is_withdrawn
    assert not CurrentResult.objects.exists()


def test_the_reading_before_it_is_current_again(bench: Bench) -> None:
    bench.target()
    first, second = bench.read("3.3"), bench.read("3.9")
    withdraw(bench, second)
    row = CurrentResult.objects.get()
    assert (row.found, row.designed, row.designed_verdict) == (first, first, "pass")
    assert Trial.objects.get().failed is False


def test_withdrawing_the_only_reading_leaves_nothing(bench: Bench) -> None:
    bench.target()
    withdraw(bench, bench.read("3.9"))
    assert not CurrentResult.objects.exists()
    assert not Trial.objects.exists()
    assert list(discrepancies_of(bench.project)) == []


def test_a_loose_reading_can_be_withdrawn(bench: Bench) -> None:
    assert withdraw(bench, bench.read("3.3 V", "", place="TP4")).is_withdrawn


def test_the_reading_itself_stays_as_it_was(bench: Bench) -> None:
    bench.target()
    reading = bench.read("3.298", expanded_uncertainty="4 mV")
    kept = Measurement.objects.filter(pk=reading.pk).values().get()
    withdraw(bench, reading)
    changed = {
        name
        for name, value in Measurement.objects.filter(pk=reading.pk).values().get().items()
        if kept[name] != value
    }
    assert changed == {"withdrawn_at", "withdrawn_by_id", "withdrawn_because"}
