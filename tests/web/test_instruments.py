"""Instruments: the list, one of them, its ranges, its calibrations."""

from __future__ import annotations

import csv
from dataclasses import fields
from datetime import date, datetime
from io import StringIO
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from logbook.bench.commands import add_instrument, record_calibration
from logbook.bench.models import Instrument
from logbook.web.views.instruments import (
    CalibrationFormPage,
    InstrumentFormPage,
    InstrumentListPage,
    InstrumentPage,
)
from tests.builders import Bench, build_bench
from tests.web.contexts import received

ONE = "/instruments/bench-dmm/"
RANGE = {
    "name": "10 V",
    "full_scale": "10",
    "unit": "V",
    "percent_of_reading": "0.05",
    "counts": "3",
    "resolution": "1 mV",
}


@pytest.fixture
def dmm(bench: Bench) -> Instrument:
    return add_instrument(
        actor=bench.actor, name="bench-dmm", kind="hand-held multimeter", serial="A12", ranges=[RANGE]
    )


@pytest.fixture
def person(bench: Bench, client: Client) -> Client:
    client.force_login(bench.editor)
    return client


def calibrate(
    bench: Bench, dmm: Instrument, number: str, on: date, due: date, result: str = "in limits"
) -> None:
    record_calibration(actor=bench.actor, instrument=dmm, number=number, on=on, result=result, next_due=due)


def as_sent(*rows: dict[str, str], before: int = 0, **fields: str) -> dict[str, str]:
    sent = {"ranges-TOTAL_FORMS": str(len(rows)), "ranges-INITIAL_FORMS": str(before), **fields}
    return sent | {
        f"ranges-{place}-{name}": value for place, row in enumerate(rows) for name, value in row.items()
    }


@pytest.mark.parametrize(
    "address",
    ["/instruments/", "/instruments.csv", "/instruments/new/", ONE, f"{ONE}edit/", f"{ONE}calibrations/new/"],
)
def test_it_sends_the_anonymous_to_sign_in(client: Client, dmm: Instrument, address: str) -> None:
    assert client.get(address).headers["Location"].startswith("/sign-in/")


@pytest.mark.parametrize(
    ("address", "page"),
    [
        ("/instruments/", InstrumentListPage),
        ("/instruments/new/", InstrumentFormPage),
        (ONE, InstrumentPage),
        (f"{ONE}edit/", InstrumentFormPage),
        (f"{ONE}calibrations/new/", CalibrationFormPage),
    ],
)
def test_the_template_gets_the_fields_of_the_page(
    person: Client, dmm: Instrument, address: str, page: Any
) -> None:
    assert received(person.get(address)) == {field.name for field in fields(page)}


def test_an_empty_list_says_what_to_do_first(person: Client) -> None:
    assert b"Add the first instrument" in person.get("/instruments/").content


def test_it_finds_no_unknown_instrument(person: Client) -> None:
    assert person.get("/instruments/other/").status_code == 404


@pytest.mark.parametrize(
    ("due", "says"), [(date(2026, 1, 1), "overdue since 2026-01-01"), (date(2999, 1, 1), "in calibration")]
)
def test_the_list_says_in_words_whether_it_is_due(
    bench: Bench, person: Client, dmm: Instrument, due: date, says: str
) -> None:
    calibrate(bench, dmm, "C-1", date(2025, 1, 1), due)
    assert says in person.get("/instruments/").content.decode()


@pytest.mark.parametrize(
    ("query", "names"),
    [
        ("calibration=overdue", ["bench-dmm"]),
        ("calibration=not+calibrated", ["scope"]),
        ("q=multi", ["bench-dmm"]),
        ("", ["bench-dmm", "scope"]),
    ],
)
def test_the_list_is_filtered(
    bench: Bench, person: Client, dmm: Instrument, query: str, names: list[str]
) -> None:
    add_instrument(actor=bench.actor, name="scope", kind="oscilloscope")
    calibrate(bench, dmm, "C-1", date(2025, 1, 1), date(2026, 1, 1))
    rows = csv.DictReader(StringIO(person.get(f"/instruments.csv?{query}").content.decode()))
    assert [row["name"] for row in rows] == names
    lines = person.get(f"/instruments/?{query}").context["lines"]
    assert [line.instrument.name for line in lines] == names


def test_the_accuracy_is_worked_out_at_half_scale(person: Client, dmm: Instrument) -> None:
    [example] = person.get(ONE).context["ranges"]
    # 0.05 % of 5 V and three counts of 1 mV: a bound of 5.5 mV; U = 2 × 5.5 mV / √3 = 6.351 mV.
    assert (example.reading, example.bound, example.expanded) == ("5 V", "± 5.5 mV", "6.351 mV")


def test_an_instrument_is_added_with_its_ranges(person: Client, bench: Bench) -> None:
    sent = as_sent(RANGE, {}, {}, name="bench-dmm", kind="multimeter", serial="", note="")
    assert person.post("/instruments/new/", sent).headers["Location"] == ONE
    [stored] = Instrument.objects.get().ranges.all()
    assert (stored.full_scale, stored.resolution, stored.counts) == ("10", "0.001", "3")


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"counts": "three"}, "counts"),
        ({"resolution": "1 Hz"}, "resolution"),
        ({"resolution": ""}, "resolution"),
        ({"full_scale": ""}, "full_scale"),
    ],
)
def test_a_slip_in_a_range_is_shown_in_its_row(person: Client, wrong: dict[str, str], field: str) -> None:
    sent = as_sent(RANGE, {**RANGE, "name": "100 V", **wrong}, name="bench-dmm", kind="multimeter")
    answer = person.post("/instruments/new/", sent)
    assert answer.status_code == 400
    assert answer.context["rows"].errors[0] == {}
    assert field in answer.context["rows"].errors[1]
    assert not Instrument.objects.exists()


def test_a_name_given_twice_is_refused_at_the_name(person: Client, dmm: Instrument) -> None:
    answer = person.post("/instruments/new/", as_sent(name="bench-dmm", kind="multimeter"))
    assert "name" in answer.context["form"].errors


def test_a_range_is_removed_and_the_rest_is_kept(person: Client, dmm: Instrument) -> None:
    sent = as_sent({**RANGE, "DELETE": "on"}, {**RANGE, "name": "100 V"}, before=1, kind="new words")
    assert person.post(f"{ONE}edit/", sent).status_code == 302
    dmm.refresh_from_db()
    assert dmm.kind == "new words"
    assert [one.name for one in dmm.ranges.all()] == ["100 V"]


def test_unchanged_ranges_keep_the_readings_that_point_at_them(
    bench: Bench, person: Client, dmm: Instrument
) -> None:
    before = dmm.ranges.get().pk
    page = person.get(f"{ONE}edit/").context["rows"]
    row: dict[str, Any] = page.forms[0].initial
    person.post(f"{ONE}edit/", as_sent(row, before=1, kind="other words"))
    assert dmm.ranges.get().pk == before


def test_a_refused_range_leaves_the_instrument_as_it_was(person: Client, dmm: Instrument) -> None:
    sent = as_sent({**RANGE, "counts": "three"}, before=1, kind="other words")
    assert person.post(f"{ONE}edit/", sent).status_code == 400
    dmm.refresh_from_db()
    assert dmm.kind == "hand-held multimeter"


def test_a_calibration_is_recorded(person: Client, dmm: Instrument) -> None:
    sent = {"number": "C-7", "on": "2026-01-10", "result": "in limits", "next_due": "2027-01-10", "note": ""}
    assert person.post(f"{ONE}calibrations/new/", sent).status_code == 302
    assert dmm.calibrations.get().recorded_by is not None


@pytest.mark.parametrize(
    "wrong", [{"on": "2999-01-01", "next_due": "3000-01-01"}, {"next_due": "2026-01-01"}, {"result": "fine"}]
)
def test_an_impossible_calibration_is_refused(person: Client, dmm: Instrument, wrong: dict[str, str]) -> None:
    sent = {"number": "C-7", "on": "2026-01-10", "result": "in limits", "next_due": "2027-01-10"}
    assert person.post(f"{ONE}calibrations/new/", sent | wrong).status_code == 400
    assert not dmm.calibrations.exists()


@pytest.mark.parametrize(
    ("after", "counts"),
    [(None, (1, 0, 0)), ("in limits", (0, 1, 0)), ("out of limits", (0, 0, 1))],
    ids=["overdue", "cleared", "condemned"],
)
def test_readings_after_the_due_date_are_counted(
    bench: Bench, person: Client, dmm: Instrument, after: str | None, counts: tuple[int, int, int]
) -> None:
    bench.target()
    calibrate(bench, dmm, "C-1", date(2025, 1, 1), date(2026, 1, 1))
    bench.read("3.3", instrument="bench-dmm", taken_at=datetime.fromisoformat("2026-01-01T23:00:00+00:00"))
    bench.read("3.3", instrument="bench-dmm", taken_at=datetime.fromisoformat("2026-01-02T00:00:00+00:00"))
    if after:
        calibrate(bench, dmm, "C-2", date(2026, 2, 1), date(2027, 2, 1), after)
    [flagged] = person.get(ONE).context["flagged"]
    assert (flagged.overdue, flagged.cleared, flagged.condemned) == counts


def test_flagged_readings_of_a_strange_project_stay_unseen(
    bench: Bench, client: Client, dmm: Instrument
) -> None:
    other = build_bench("skua")
    other.target()
    calibrate(bench, dmm, "C-1", date(2025, 1, 1), date(2026, 1, 1))
    other.read("3.3", instrument="bench-dmm", taken_at=datetime.fromisoformat("2026-01-05T10:00:00+00:00"))
    client.force_login(bench.owner)
    answer = client.get(ONE)
    assert answer.context["flagged"] == ()
    assert b"Skua" not in answer.content


def test_the_queries_of_the_list_do_not_grow(bench: Bench, person: Client, dmm: Instrument) -> None:
    with CaptureQueriesContext(connection) as first:
        person.get("/instruments/")
    for number in range(20):
        add_instrument(actor=bench.actor, name=f"meter-{number}", kind="meter", ranges=[RANGE])
    with CaptureQueriesContext(connection) as second:
        person.get("/instruments/")
    assert len(first) == len(second)


def test_the_link_to_flagged_readings_shows_those_of_the_instrument(
    bench: Bench, person: Client, dmm: Instrument
) -> None:
    bench.target()
    bench.read("3.3")
    with_it = bench.read("3.31", instrument="bench-dmm")
    rows = person.get("/p/tern/measurements/?instrument=bench-dmm").context["rows"]
    assert [row.pk for row in rows] == [with_it.pk]


@pytest.mark.parametrize("who", ["reader", "stranger"])
@pytest.mark.parametrize("page", ["instrument-create", "instrument-edit", "calibration-create"])
def test_who_edits_no_project_may_not_change_what_all_share(
    client: Client, bench: Bench, who: str, page: str
) -> None:
    add_instrument(actor=bench.actor, name="M-9", kind="meter")
    client.force_login(getattr(bench, who))
    arguments = [] if page == "instrument-create" else ["M-9"]
    answer = client.post(reverse(page, args=arguments), {"name": "M-8", "kind": "meter"})
    assert answer.status_code == 403
    assert b"only an owner or editor of a project" in answer.content
