"""Instruments and what they state about their ranges."""

from __future__ import annotations

import pytest

from logbook.bench.commands import add_instrument, change_instrument
from logbook.bench.models import Instrument
from logbook.common.errors import InvalidInputError
from logbook.common.models import ChangeRecord
from tests.builders import Bench

GOOD = {"name": "10 V", "unit": "V", "full_scale": "10", "percent_of_reading": "0.1"}


def test_it_reads_the_numbers_of_a_range_in_its_unit(bench: Bench) -> None:
    one = {"name": "1 V", "unit": "mV", "full_scale": "1 V", "counts": "3", "resolution": "100 µV"}
    row = add_instrument(actor=bench.actor, name="M-1", kind="meter", ranges=[one]).ranges.get()
    assert (row.unit, row.full_scale, row.counts, row.resolution) == ("mV", "1000", "3", "0.100")


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"unit": "furlong"}, "ranges.1"),
        ({"full_scale": "ten"}, "ranges.1.full_scale"),
        ({"full_scale": "10 A"}, "ranges.1.full_scale"),
        ({"percent_of_reading": "1,5"}, "ranges.1.percent_of_reading"),
        ({"percent_of_reading": "-1"}, "ranges.1"),
        ({"percent_of_reading": "", "counts": "3"}, "ranges.1"),
        ({"resolution": "1 A"}, "ranges.1.resolution"),
    ],
    ids=str,
)
def test_it_names_the_range_and_field_that_is_wrong(bench: Bench, wrong: dict[str, str], field: str) -> None:
    with pytest.raises(InvalidInputError) as caught:
        add_instrument(
            actor=bench.actor, name="M-1", kind="meter", ranges=[GOOD, GOOD | {"name": "b"} | wrong]
        )
    assert caught.value.problems[0].field.startswith(field)
    assert not Instrument.objects.exists()


def test_two_ranges_have_two_names(bench: Bench) -> None:
    with pytest.raises(InvalidInputError):
        add_instrument(actor=bench.actor, name="M-1", kind="meter", ranges=[GOOD, GOOD])


def test_new_ranges_replace_the_old_and_readings_keep_their_uncertainty(bench: Bench) -> None:
    bench.target()
    meter = add_instrument(actor=bench.actor, name="M-1", kind="meter", ranges=[GOOD])
    reading = bench.read("3.3", instrument="M-1")
    before = reading.expanded_uncertainty
    change_instrument(
        actor=bench.actor, instrument=meter, values={}, ranges=[GOOD | {"percent_of_reading": "5"}]
    )
    reading.refresh_from_db()
    assert (reading.expanded_uncertainty, reading.instrument_range) == (before, None)
    assert bench.read("3.3", instrument="M-1").expanded_uncertainty != before


def test_changing_an_instrument_records_who_and_what(bench: Bench) -> None:
    meter = add_instrument(actor=bench.actor, name="M-1", kind="meter")
    change_instrument(actor=bench.actor, instrument=meter, values={"serial": "77"})
    record = ChangeRecord.objects.filter(kind="instrument", action="changed").get()
    assert (record.actor, record.fields) == (bench.owner, {"serial": ["", "77"]})


@pytest.mark.parametrize("name", ["", "a b", "M-1", "x" * 61])
def test_a_name_is_plain_and_serves_one_instrument(bench: Bench, name: str) -> None:
    add_instrument(actor=bench.actor, name="M-1", kind="meter")
    with pytest.raises(InvalidInputError):
        add_instrument(actor=bench.actor, name=name, kind="meter")
