"""Readings: the list, the page of one, withdrawal."""

from __future__ import annotations

import csv
from dataclasses import fields
from datetime import date
from io import StringIO
from typing import Any

import pytest
from django.test import Client

from logbook.bench.commands import add_instrument, issue_target, record_calibration
from logbook.bench.commands.targets import Asked
from logbook.bench.models import Measurement
from logbook.web.paging import PAGE_SIZE
from logbook.web.views.measurements import MeasurementListPage, MeasurementPage
from tests.builders import Bench

LIST = "/p/tern/measurements/"


@pytest.fixture
def measured(bench: Bench, client: Client) -> Bench:
    bench.target()
    client.force_login(bench.editor)
    return bench


def test_the_page_shows_everything_recorded(measured: Bench, client: Client) -> None:
    one = measured.read(
        "3298",
        unit="mV",
        expanded_uncertainty="4",
        firmware="0.6.0",
        conditions={"load": "none"},
        note="**odd**",
    )
    text = client.get(f"{LIST}{one.pk}/").content.decode()
    for said in ("3298 mV", "U = 4 mV, k = 2", "0.6.0", "load", "<strong>odd</strong>", "guarded acceptance"):
        assert said in text


def test_it_shows_the_calibration_flag(measured: Bench, client: Client) -> None:
    meter = add_instrument(actor=measured.actor, name="DMM-1", kind="meter")
    record_calibration(
        actor=measured.actor,
        instrument=meter,
        number="C-1",
        on=date(2020, 1, 1),
        result="in limits",
        next_due=date(2021, 1, 1),
    )
    one = measured.read("3.3", instrument="DMM-1")
    assert "Taken out of calibration:" in client.get(f"{LIST}{one.pk}/").content.decode()
    assert "out of calibration since 2021-01-01" in client.get(f"{LIST}{one.pk}/").content.decode()


def test_it_shows_the_verdict_of_today_beside_the_one_as_judged(measured: Bench, client: Client) -> None:
    one = measured.read("3.4")
    target = measured.project.targets.get()
    issue_target(actor=measured.actor, target=target, asked=Asked(limits="3.1..3.5 V"), reason="wider")
    context = client.get(f"{LIST}{one.pk}/").context
    assert (context["measurement"].verdict, context["today"].verdict) == ("fail", "pass")
    assert context["today"].counts


def test_there_is_no_verdict_of_today_while_the_issue_is_the_same(measured: Bench, client: Client) -> None:
    one = measured.read("3.4")
    assert client.get(f"{LIST}{one.pk}/").context["today"] is None


def test_a_reading_is_withdrawn_with_a_reason(measured: Bench, client: Client) -> None:
    one = measured.read("33.3")
    client.post(f"{LIST}{one.pk}/withdraw/", {"because": "wrong range"})
    assert Measurement.objects.get().withdrawn_because == "wrong range"
    assert "wrong range" in client.get(f"{LIST}{one.pk}/").content.decode()


def test_it_is_not_withdrawn_without_a_reason(measured: Bench, client: Client) -> None:
    one = measured.read("33.3")
    assert client.post(f"{LIST}{one.pk}/withdraw/", {"because": " "}).status_code == 400
    assert not Measurement.objects.get().is_withdrawn


def test_the_first_withdrawal_stands_when_it_comes_twice(measured: Bench, client: Client) -> None:
    one = measured.read("33.3")
    for because in ("first", "second"):
        assert client.post(f"{LIST}{one.pk}/withdraw/", {"because": because}).status_code == 302
    assert Measurement.objects.get().withdrawn_because == "first"


@pytest.mark.parametrize(
    ("query", "values"),
    [
        ("verdict=fail&withdrawn=no", ["3.5"]),
        ("verdict=none", ["inconclusive"]),
        ("board=0002", ["3.31"]),
        ("withdrawn=yes", ["33.3"]),
        ("withdrawn=no", ["3.31", "inconclusive", "3.5", "3.3"]),
        ("target=RLD-2&board=0001&withdrawn=no&verdict=pass", ["3.3"]),
    ],
)
def test_the_list_can_be_filtered(measured: Bench, client: Client, query: str, values: list[str]) -> None:
    measured.extra_board("0002")
    for value in ("3.3", "3.5", "inconclusive"):
        measured.read(value)
    measured.read("3.31", board="0002")
    client.post(f"{LIST}{measured.read('33.3').pk}/withdraw/", {"because": "wrong range"})
    assert [row.text for row in client.get(f"{LIST}?{query}").context["rows"]] == values


def test_the_list_is_paged_by_number(measured: Bench, client: Client) -> None:
    readings = [measured.read(f"3.{number:03}") for number in range(PAGE_SIZE + 2)]
    first = client.get(LIST).context
    assert first["rows"][0].pk == readings[-1].pk
    rest = client.get(f"{LIST}?after={first['after']}").context
    assert [row.pk for row in rest["rows"]] == [readings[1].pk, readings[0].pk]
    assert rest["after"] == ""


def test_the_csv_is_safe_in_a_spreadsheet_and_keeps_numbers(measured: Bench, client: Client) -> None:
    measured.target("RLA-2", "-5.05..-4.95 V")
    measured.read("-5.001", "RLA-2", note="=cmd()")
    rows = list(csv.DictReader(StringIO(client.get("/p/tern/measurements.csv").content.decode())))
    assert (rows[0]["value"], rows[0]["note"]) == ("-5.001", "'=cmd()")


@pytest.mark.parametrize("page", [("", MeasurementListPage), ("one", MeasurementPage)], ids=["list", "one"])
def test_each_page_gives_its_template_every_field(measured: Bench, client: Client, page: Any) -> None:
    number = measured.read("3.3").pk
    address = f"{LIST}{number}/" if page[0] else LIST
    assert {field.name for field in fields(page[1])} <= set(client.get(address).context.keys())


def test_a_loose_reading_has_a_page(measured: Bench, client: Client) -> None:
    one = measured.read("1.2 V", "", place="across R7")
    assert "across R7" in client.get(f"{LIST}{one.pk}/").content.decode()


def test_a_reader_may_not_withdraw(measured: Bench, client: Client) -> None:
    one = measured.read("3.3")
    client.force_login(measured.reader)
    assert client.post(f"{LIST}{one.pk}/withdraw/", {"because": "no"}).status_code == 403


def test_a_stranger_finds_nothing(measured: Bench, client: Client) -> None:
    one = measured.read("3.3")
    client.force_login(measured.stranger)
    for address in (LIST, f"{LIST}{one.pk}/", "/p/tern/measurements.csv", f"{LIST}{one.pk}/withdraw/"):
        assert client.get(address).status_code == 404


def test_a_reading_of_another_project_is_not_found(measured: Bench, client: Client) -> None:
    assert client.get(f"{LIST}999999/").status_code == 404


def test_the_list_asks_the_database_equally_often_however_long(
    measured: Bench, client: Client, django_assert_max_num_queries: Any
) -> None:
    for number in range(12):
        measured.read(f"3.{number:03}")
    with django_assert_max_num_queries(7):
        client.get(LIST)
