"""The page of the bring-up plan."""

from __future__ import annotations

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from logbook.web.views.bring_up import BringUpPage, duration_text
from tests.builders import Bench
from tests.web.contexts import received

PAGE = "/p/tern/rev/A/bring-up/"
FILE = "/p/tern/rev/A/bring-up.csv"


@pytest.mark.parametrize("address", [PAGE, FILE])
@pytest.mark.parametrize(("who", "status"), [("owner", 200), ("reader", 200), ("stranger", 404)])
def test_members_read_and_strangers_find_nothing(
    bench: Bench, client: Client, address: str, who: str, status: int
) -> None:
    client.force_login(getattr(bench, who))
    assert client.get(address).status_code == status


def test_it_says_stages_minutes_cautions_and_how_to_power_up(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    bench.target(values={"minutes": 80, "waiting_minutes": 5, "cautions": "H"})
    answer = client.get(PAGE)
    page = answer.content.decode()
    for said in (
        "1. RLD digital rails",
        "1 h 20 min",
        "then wait",
        "Parts can burn",
        "150 mA",
        "never tried",
    ):
        assert said in page
    assert received(answer) == set(BringUpPage.__dataclass_fields__)


def test_the_file_says_the_same(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    bench.target()
    lines = client.get(FILE).content.decode().splitlines()
    assert lines[1].startswith("RLD digital rails,1,RLD-2,invented target RLD-2,never tried")


def test_without_targets_it_says_what_to_do_first(bench: Bench, client: Client) -> None:
    client.force_login(bench.editor)
    assert "Add the first target" in client.get(PAGE).content.decode()


@pytest.mark.parametrize(
    ("minutes", "text"), [(0, "0 min"), (59, "59 min"), (60, "1 h 0 min"), (1638, "27 h 18 min")]
)
def test_minutes_are_written_as_people_plan_them(minutes: int, text: str) -> None:
    assert duration_text(minutes) == text


@pytest.mark.parametrize("count", [1, 20])
def test_the_number_of_queries_does_not_grow(
    bench: Bench, client: Client, django_assert_max_num_queries: DjangoAssertNumQueries, count: int
) -> None:
    client.force_login(bench.reader)
    for number in range(count):
        bench.target(f"RLD-{number}")
    with django_assert_max_num_queries(28):
        assert client.get(PAGE).status_code == 200
