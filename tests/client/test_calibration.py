"""Instruments out of calibration are named, by the rule the site itself flags readings by."""

from __future__ import annotations

import json
from datetime import date

import pytest
from board_logbook_client import Logbook, RefusedError
from board_logbook_client.calibration import out_of_calibration

from tests.client.serving import Served

pytestmark = pytest.mark.xdist_group("client")
SITE_SAYS = """
import django, json, sys
django.setup()
from datetime import date
from logbook.bench.models import Instrument
from logbook.bench.queries.calibration import calibration_record
record, day = calibration_record(), date.fromisoformat(sys.argv[1])
ids = Instrument.objects.order_by("name").values_list("id", flat=True)
flags = [record.flag_on(one, day) for one in ids if one in record.by_instrument]
print(json.dumps([flag.says for flag in flags if flag]))
"""


@pytest.mark.parametrize("day", [date(2024, 3, 30), date(2025, 3, 31), date(2025, 4, 1), date(2199, 4, 1)])
def test_it_says_what_the_site_says_of_a_day(logbook: Logbook, site: Served, day: date) -> None:
    said = json.loads(site.run("-c", SITE_SAYS, day.isoformat()))
    assert out_of_calibration(logbook.site, day=day) == said
    assert len(said) == (day > date(2025, 3, 31)) + (day > date(2199, 3, 31))


def test_only_those_named_are_looked_at(logbook: Logbook) -> None:
    assert logbook.out_of_calibration() == ["DMM-2 out of calibration since 2025-03-31"]
    assert logbook.out_of_calibration(["DMM-1", "DMM-3"]) == []


def test_one_the_site_does_not_know_is_refused(logbook: Logbook) -> None:
    with pytest.raises(RefusedError, match="DMM-77"):
        logbook.out_of_calibration(["DMM-77"])
