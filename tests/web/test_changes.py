"""The record of changes of a project."""

from __future__ import annotations

from django.test import Client
from pytest_django import DjangoAssertNumQueries

from logbook.boards.commands import change_board
from logbook.common.models import ChangeRecord
from logbook.web.paging import PAGE_SIZE
from tests.builders import Bench, build_bench

CHANGES = "/p/tern/changes/"


def test_it_says_who_when_and_what(bench: Bench, client: Client) -> None:
    change_board(actor=bench.actor, board=bench.board, values={"note": "scratched"})
    client.force_login(bench.reader)
    html = client.get(CHANGES).content.decode()
    assert "owner-tern" in html
    assert "by command" in html
    assert "scratched" in html


def test_changes_of_other_projects_stay_there(bench: Bench, client: Client) -> None:
    other = build_bench("heron")
    client.force_login(bench.reader)
    shown = client.get(CHANGES).context["changes"]
    assert {change.project_id for change in shown} == {bench.project.pk}
    assert other.project.pk != bench.project.pk


def test_a_long_record_is_paged_by_key_without_gaps(bench: Bench, client: Client) -> None:
    for number in range(PAGE_SIZE + 5):
        change_board(actor=bench.actor, board=bench.board, values={"note": f"note {number}"})
    client.force_login(bench.reader)
    seen: list[int] = []
    after = ""
    while True:
        context = client.get(CHANGES, {"after": after}).context
        seen += [change.pk for change in context["changes"]]
        after = context["after"]
        if not after:
            break
    every = ChangeRecord.objects.filter(project_id=bench.project.pk).order_by("-id")
    assert seen == list(every.values_list("pk", flat=True))


def test_a_key_that_is_none_begins_at_the_newest(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    first = client.get(CHANGES).context["changes"]
    assert client.get(CHANGES, {"after": "x'; --"}).context["changes"] == first


def test_it_is_narrowed_by_kind_and_name(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    shown = client.get(CHANGES, {"kind": "board", "q": "0001"}).context["changes"]
    assert [(change.kind, change.title) for change in shown] == [("board", "0001")]


def test_a_page_costs_the_same_however_long(
    bench: Bench, client: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    client.force_login(bench.reader)
    with django_assert_num_queries(5):  # session, person, membership, kinds, changes with actors
        client.get(CHANGES)
