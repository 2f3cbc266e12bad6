"""The page of the timeline."""

from __future__ import annotations

from dataclasses import fields

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from logbook.findings.commands import record_finding
from logbook.web.views.timeline import TimelinePage
from tests.builders import Bench
from tests.web.contexts import received

PAGE = "/p/tern/timeline/"


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    """Return a browser of a reader of a project with a finding."""
    record_finding(
        actor=bench.actor, project=bench.project, key="F-1", title="<i>hum</i>", subsystem=bench.subsystem
    )
    client.force_login(bench.reader)
    return client


@pytest.mark.parametrize("address", [PAGE, "/p/tern/timeline.csv"])
def test_strangers_find_nothing(client: Client, bench: Bench, address: str) -> None:
    client.force_login(bench.stranger)
    assert client.get(address).status_code == 404


def test_its_template_gets_what_it_says(reader: Client) -> None:
    assert received(reader.get(PAGE)) == {field.name for field in fields(TimelinePage)}


def test_it_tells_what_happened_as_text(reader: Client) -> None:
    page = reader.get(PAGE).content.decode()
    assert "F-1 suspected: &lt;i&gt;hum&lt;/i&gt;" in page
    assert "0001 in use" in page


@pytest.mark.parametrize("query", ["kind=idea", "before=yesterday", "before=0001-01-01", "before=9999-12-31"])
def test_every_filter_answers(reader: Client, query: str) -> None:
    assert reader.get(f"{PAGE}?{query}").status_code == 200


def test_the_same_as_a_table(reader: Client) -> None:
    header, row = reader.get("/p/tern/timeline.csv?kind=finding").content.decode().splitlines()
    assert header == "day,hour,kind,what,note,verdict,address"
    assert row.endswith(",finding,F-1 suspected: <i>hum</i>,,,/p/tern/findings/F-1/")


def test_it_asks_a_fixed_number_of_queries(
    reader: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_num_queries(17):
        reader.get(PAGE)
