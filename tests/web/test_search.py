"""The page of the search."""

from __future__ import annotations

from dataclasses import fields

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from logbook.findings.commands import record_finding
from logbook.web.views.search import SearchPage
from tests.builders import Bench
from tests.web.contexts import received


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    """Return a browser of a reader, with a finding to be found."""
    record_finding(
        actor=bench.actor, project=bench.project, key="F-1", title="<script>hum</script> at 50 Hz",
        subsystem=bench.subsystem, values={},
    )  # fmt: skip
    client.force_login(bench.reader)
    return client


def test_it_needs_a_sign_in(client: Client, bench: Bench) -> None:
    assert client.get("/search/?q=hum").status_code == 302


def test_its_template_gets_what_it_says(reader: Client) -> None:
    assert received(reader.get("/search/?q=hum")) == {field.name for field in fields(SearchPage)}


def test_what_fits_is_marked_and_markup_stays_text(reader: Client) -> None:
    page = reader.get("/search/?q=hz").content.decode()
    assert "<mark>Hz</mark>" in page
    assert "&lt;script&gt;hum&lt;/script&gt;" in page
    assert "<script>hum" not in page


def test_a_stranger_is_told_nothing(client: Client, bench: Bench, reader: Client) -> None:
    client.force_login(bench.stranger)
    page = client.get("/search/?q=hum").content.decode()
    assert "Nothing found" in page
    assert "/p/tern/" not in page


@pytest.mark.parametrize(
    "address",
    ["/search/", "/search/?q=", "/search/?q=%22&kind=idea&project=none", "/search/?q=" + "w%20" * 5_000],
    ids=["bare", "empty", "unknown filters", "10 kB"],
)
def test_every_address_answers(reader: Client, address: str) -> None:
    assert reader.get(address).status_code == 200


def test_the_same_list_as_a_table(reader: Client) -> None:
    header, row, *_ = reader.get("/search.csv?q=f1").content.decode().splitlines()
    assert header == "kind,title,where,address,excerpt,when"
    assert row.startswith("finding,F-1 <script>hum</script> at 50 Hz,Tern,/p/tern/findings/F-1/,")


def test_the_box_is_on_every_page(reader: Client) -> None:
    assert 'action="/search/"' in reader.get("/p/tern/").content.decode()


def test_it_asks_a_fixed_number_of_queries(
    reader: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    reader.get("/search/?q=hum")
    with django_assert_num_queries(17):
        reader.get("/search/?q=hum+board")
