"""Pages of readiness to order and of order records."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from logbook.bench.models import TargetIssue
from logbook.boards.models import BoardEvent
from logbook.common import clock
from logbook.planning.commands import RiskSubject, decide_risks
from logbook.planning.models import Order
from logbook.projects.commands import add_change, add_revision
from logbook.projects.models import Revision
from logbook.web.views.orders import OrderFormPage, OrderPage
from logbook.web.views.readiness import ReadinessPage
from tests.builders import Bench
from tests.web.contexts import received

PAGE = "/p/tern/rev/A/readiness/"
NEW = "/p/tern/rev/A/orders/new/"


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    """Return a browser in which the editor is signed in."""
    client.force_login(bench.editor)
    return client


@pytest.fixture
def order(editor: Client) -> Order:
    """Return an order record made on the page."""
    given = {
        "decision": "go with conditions", "conditions": "legend checked by two", "name": "iv",
        "decided_on": "2024-08-30", "answer-legend": "no", "remark-legend": "still to do",
    }  # fmt: skip
    answer = editor.post(NEW, given)
    made = Order.objects.get()
    assert answer["Location"] == f"/p/tern/rev/A/orders/{made.pk}/"
    return made


@pytest.mark.parametrize("address", [PAGE, "/p/tern/rev/A/readiness.csv"])
@pytest.mark.parametrize(("who", "status"), [("owner", 200), ("reader", 200), ("stranger", 404)])
def test_members_read_and_strangers_find_nothing(
    bench: Bench, client: Client, address: str, who: str, status: int
) -> None:
    client.force_login(getattr(bench, who))
    assert client.get(address).status_code == status


def test_a_reader_decides_nothing(bench: Bench, client: Client, order: Order) -> None:
    client.force_login(bench.reader)
    assert client.post(NEW, {"decision": "go"}).status_code == 403
    assert client.post(f"/p/tern/rev/A/orders/{order.pk}/placed/", {}).status_code == 403
    assert client.get(f"/p/tern/rev/A/orders/{order.pk}/").status_code == 200
    assert "Decide to order" not in client.get(PAGE).content.decode()


def test_each_missing_thing_leads_to_what_settles_it(editor: Client, bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    page = editor.get(PAGE).content.decode()
    assert "1</span> thing is missing" in page
    assert "Not decided" in page
    assert "/p/tern/rev/A/risks/decide/?row=target%2FRLD-2%2Fnever+tried" in page
    assert "/p/tern/bench/0001/?target=RLD-2" in page


def test_without_a_board_here_it_leads_to_one_of_an_ancestor(editor: Client, bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    add_change(actor=bench.actor, revision=later, key="F-1", kind="layout", what="label moved")
    page = editor.get("/p/tern/rev/B/readiness/").content.decode()
    assert "/p/tern/bench/0001/?target=RLD-2" in page
    assert "bench 0001 of A" in page


def test_a_past_day_offers_only_boards_that_were_there(editor: Client, bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    before = timezone.localdate(clock.now()) - timedelta(days=1)
    TargetIssue.objects.update(issued_at=clock.now() - timedelta(days=2))
    Revision.objects.update(drawn_on=before)
    BoardEvent.objects.update(at=clock.now())
    assert "/p/tern/bench/0001/" in editor.get(PAGE).content.decode()
    page = editor.get(f"{PAGE}?as_of={before}").content.decode()
    assert "RLD-2" in page
    assert "/p/tern/bench/0001/" not in page


def test_where_nothing_is_missing_it_says_so(editor: Client, bench: Bench) -> None:
    bench.target(values={"severity": "S4"})
    page = editor.get(PAGE).content.decode()
    assert "ready to order</span> Nothing is missing." in page
    assert "Open, but not in the way" in page


def test_a_lapsed_acceptance_stands_on_the_page_of_the_later_revision(editor: Client, bench: Bench) -> None:
    bench.target(values={"severity": "S4"})
    rows = [RiskSubject("target", "RLD-2")]
    decide_risks(
        actor=bench.actor, revision=bench.revision, rows=rows, decision="accept", owner="wh",
        reason="runs cool", expires_with="B",
    )  # fmt: skip
    add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    page = editor.get("/p/tern/rev/B/readiness/").content.decode()
    assert "accepted by wh until revision B, which is here" in page


def test_the_decisions_that_hold_are_counted(editor: Client, bench: Bench) -> None:
    bench.target()
    assert "No decision on an open risk holds" in editor.get(PAGE).content.decode()
    rows = [RiskSubject("target", "RLD-2")]
    given = {"owner": "wh", "reason": "runs cool", "expires_with": "B"}
    decide_risks(actor=bench.actor, revision=bench.revision, rows=rows, decision="accept", **given)
    page = editor.get(PAGE)
    assert page.context["decided"] == (("accept", 1),)
    assert "/p/tern/rev/A/risks/?decided=decided" in page.content.decode()


def test_a_day_that_cannot_be_read_is_named(editor: Client, bench: Bench) -> None:
    assert editor.get(f"{PAGE}?as_of=2999-01-01").status_code == 400
    assert editor.get("/p/tern/rev/A/readiness.csv?as_of=soon").status_code == 400


def test_the_file_says_the_same(editor: Client, bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    lines = editor.get("/p/tern/rev/A/readiness.csv").content.decode().splitlines()
    assert lines[1].startswith("not decided,target,RLD-2,High risk: RLD-2 invented target RLD-2,never tried")


def test_an_order_record_shows_answers_also_the_no(editor: Client, order: Order) -> None:
    page = editor.get(f"/p/tern/rev/A/orders/{order.pk}/").content.decode()
    assert "<strong>no</strong>" in page
    assert "still to do" in page
    assert page.count("<strong>not answered</strong>") == 13
    assert "legend checked by two" in editor.get(PAGE).content.decode()


def test_the_day_of_ordering_follows_once(editor: Client, bench: Bench, order: Order) -> None:
    address = f"/p/tern/rev/A/orders/{order.pk}/placed/"
    assert editor.post(address, {"ordered_on": "2024-09-02"}).status_code == 302
    bench.revision.refresh_from_db()
    assert str(bench.revision.ordered_on) == "2024-09-02"
    assert "already placed" in editor.post(address, {"ordered_on": "2024-09-03"}).content.decode()


def test_what_is_refused_stands_at_its_field(editor: Client, bench: Bench) -> None:
    given = {"decision": "go", "name": "iv", "decided_on": "2999-01-01"}
    form = editor.post(NEW, given).context["form"]
    assert list(form.errors) == ["decided_on"]
    assert not Order.objects.exists()


def test_go_with_something_missing_is_asked_once_more(editor: Client, bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    given = {"decision": "go", "name": "iv", "decided_on": "2024-08-30"}
    assert "although_missing" not in editor.get(NEW).content.decode()
    page = editor.post(NEW, given).content.decode()
    assert 'name="although_missing"' in page
    assert "what readiness names: RLD-2" in page
    assert not Order.objects.exists()
    assert editor.post(NEW, given | {"although_missing": "on"}).status_code == 302


def test_templates_receive_their_context_and_nothing_else(editor: Client, bench: Bench, order: Order) -> None:
    pages = {PAGE: ReadinessPage, NEW: OrderFormPage, f"/p/tern/rev/A/orders/{order.pk}/": OrderPage}
    for address, context in pages.items():
        assert received(editor.get(address)) == set(context.__dataclass_fields__)


@pytest.mark.parametrize("count", [1, 20])
def test_the_number_of_queries_does_not_grow(
    editor: Client, bench: Bench, django_assert_max_num_queries: DjangoAssertNumQueries, count: int
) -> None:
    for number in range(count):
        bench.target(f"RLD-{number}")
    with django_assert_max_num_queries(25):
        assert editor.get(PAGE).status_code == 200
