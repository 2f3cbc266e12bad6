"""Pages of bills of materials. All parts are invented."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from logbook.projects.commands import add_revision
from logbook.projects.commands.bills import add_designator_rule, bill_source, import_bill
from logbook.projects.models import BillOfMaterials, Change, DesignatorRule, Revision
from logbook.web.views.bills.comparing import BillComparePage
from logbook.web.views.bills.importing import BillImportPage
from logbook.web.views.bills.page import BillPage
from logbook.web.views.bills.proposing import BillProposePage
from logbook.web.views.bills.rules import DesignatorRulesPage
from tests.builders import Bench
from tests.web.contexts import received

B = "/p/tern/rev/B/bill/"
RULES = "/p/tern/designator-rules/"
OLD = b'Ref,Qty,Value,Package\n"C11, C12",2,18 pF,0402\nR9,1,10k,0603\nR10,1,4k7,0603\n'
NEW = b"Designator;Value;Footprint;DNP\nC11;10p;0402;\nC12;10p;0402;\nR10;4700;0603;x\nSB2;bridge;SB;\n"


@pytest.fixture
def child(bench: Bench) -> Revision:
    """Return revision B; both it and its parent have a bill, and C belongs to RLD."""
    child = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    for revision, data in ((bench.revision, OLD), (child, NEW)):
        import_bill(actor=bench.actor, revision=revision, source=bill_source(data, file_name="parts.csv"))
    add_designator_rule(actor=bench.actor, project=bench.project, subsystem=bench.subsystem, rule="C*")
    return child


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    """Return a browser in which the editor is signed in."""
    client.force_login(bench.editor)
    return client


def text(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def send(client: Client, data: bytes) -> Any:
    return client.post(
        "/p/tern/rev/A/bill/import/", {"file": SimpleUploadedFile("parts.csv", data), "do": "read"}
    )


@pytest.mark.parametrize(
    ("address", "context"),
    [
        (B, BillPage),
        (f"{B}import/", BillImportPage),
        (f"{B}compare/?with=A", BillComparePage),
        (f"{B}proposed-changes/?with=A", BillProposePage),
        (RULES, DesignatorRulesPage),
    ],
)
def test_a_page_gets_what_its_context_names(
    editor: Client, child: Revision, address: str, context: Any
) -> None:
    assert received(editor.get(address)) == {field.name for field in fields(context)}


def test_without_a_bill_the_page_says_how_to_get_one(editor: Client, bench: Bench) -> None:
    assert "Import a bill of materials" in text(editor, "/p/tern/rev/A/bill/")


def test_a_file_is_read_confirmed_and_then_stored(editor: Client, bench: Bench) -> None:
    answer = send(editor, b"Teil;Beiwert;Value\nR1, R2;4k7;x\n?;1k;x\n")
    assert (answer.status_code, BillOfMaterials.objects.count()) == (400, 0)
    given = {
        "kept": answer.context["kept"],
        "kept_name": "parts.csv",
        "designators": "Teil",
        "value": "Beiwert",
    }
    shown = editor.post("/p/tern/rev/A/bill/import/", given | {"do": "read"})
    assert [str(part.designator) for part in shown.context["sample"]] == ["R1", "R2"]
    assert BillOfMaterials.objects.count() == 0
    done = editor.post("/p/tern/rev/A/bill/import/", given | {"do": "import"})
    assert (done.status_code, done["Location"]) == (302, "/p/tern/rev/A/bill/")
    page = text(editor, "/p/tern/rev/A/bill/")
    assert "4k7" in page
    assert "Rows that were refused" in page


@pytest.mark.parametrize("data", [b"", b"\x00\x01", b'Ref,Value\nR1,"1\n'], ids=["empty", "zeros", "quote"])
def test_a_file_that_is_no_table_says_so(editor: Client, bench: Bench, data: bytes) -> None:
    answer = send(editor, data)
    assert answer.status_code == 400
    assert answer.context["form"].errors


@pytest.mark.parametrize("kept", ["", "not base64 …"])
def test_a_file_that_did_not_come_along_is_asked_for_again(editor: Client, bench: Bench, kept: str) -> None:
    answer = editor.post("/p/tern/rev/A/bill/import/", {"kept": kept, "do": "import"})
    assert (answer.status_code, "file" in answer.context["form"].errors) == (400, True)


def test_the_parts_are_filtered_on_the_page_and_in_the_file(editor: Client, child: Revision) -> None:
    shown = editor.get(f"{B}?subsystem=RLD").context["parts"]
    assert [one.line.designator for one in shown] == ["C11", "C12"]
    shown = editor.get(f"{B}?fitted=not fitted").context["parts"]
    assert [one.line.designator for one in shown] == ["R10"]
    lines = text(editor, "/p/tern/rev/B/bill.csv?subsystem=-").splitlines()
    assert [line.split(",")[0] for line in lines] == ["designator", "R10", "SB2"]


def test_an_earlier_import_stays_readable(editor: Client, bench: Bench, child: Revision) -> None:
    first = BillOfMaterials.objects.get(revision=child)
    import_bill(actor=bench.actor, revision=child, source=bill_source(OLD))
    assert "superseded" in text(editor, B)
    assert "An earlier import" in text(editor, f"{B}?bill={first.pk}")


def test_the_comparison_takes_the_parent_where_none_is_named(editor: Client, child: Revision) -> None:
    context = editor.get(f"{B}compare/").context
    assert [str(row.difference.designator) for row in context["rows"]] == ["C11", "C12", "R9", "R10", "SB2"]
    lines = text(editor, f"{B}compare.csv?with=A&kind=value").splitlines()
    assert lines[1:] == ["C11,value,18 pF,10p,RLD", "C12,value,18 pF,10p,RLD"]


@pytest.mark.parametrize("query", ["?with=Z", "?with=A&kind=colour", "?with=A&subsystem=XYZ"])
def test_a_question_that_cannot_be_read_is_refused(editor: Client, child: Revision, query: str) -> None:
    assert editor.get(f"{B}compare/{query}").status_code == 400
    assert editor.get(f"{B}compare.csv{query}").status_code == 400


def test_a_missing_bill_is_said(editor: Client, bench: Bench, child: Revision) -> None:
    add_revision(actor=bench.actor, project=bench.project, label="C", parent=child)
    assert "A bill of materials is missing" in text(editor, "/p/tern/rev/C/bill/compare/")


def proposal(prefix: str, **given: Any) -> dict[str, Any]:
    usual = {
        "picked": "on",
        "key": f"BOM-{prefix}",
        "kind": "BOM",
        "what": "as built",
        "designators": "C11, C12",
    }
    return {f"{prefix}-{name}": value for name, value in (usual | given).items()}


def test_picked_proposals_become_changes(editor: Client, child: Revision) -> None:
    address = f"{B}proposed-changes/?with=A"
    page = text(editor, address)
    assert "C11, C12 10p instead of 18 pF" in page
    answer = editor.post(address, proposal("RLD", subsystems=["RLD"]))
    assert (answer.status_code, answer["Location"]) == (302, "/p/tern/rev/B/changes/")
    change = Change.objects.get()
    assert (change.key, [one.key for one in change.subsystems.all()]) == ("BOM-RLD", ["RLD"])
    assert "already named by the change" in text(editor, address)


def test_parts_named_already_leave_the_rest_ticked(editor: Client, child: Revision) -> None:
    address = f"{B}proposed-changes/?with=A"
    editor.post(address, proposal("RLD", subsystems=["RLD"], designators="C11"))
    first = next(one for one in editor.get(address).context["proposals"] if one.subsystem == "RLD")
    assert (first.is_needed, first.form["picked"].value(), first.form["designators"].value()) == (
        True,
        True,
        "C12",
    )
    assert first.named_by == [("BOM-RLD", "C11")]


def test_parts_of_no_subsystem_come_ticked_with_the_removed_ones(editor: Client, child: Revision) -> None:
    page = editor.get(f"{B}proposed-changes/?with=A")
    other = next(one for one in page.context["proposals"] if not one.subsystem)
    assert other.form["picked"].value() is True
    assert "R9 removed" in other.form["what"].value()


def test_what_stays_without_a_change_is_said(editor: Client, child: Revision) -> None:
    address = f"{B}proposed-changes/?with=A"
    answer = editor.post(address, proposal("RLD", subsystems=["RLD"]), follow=True)
    assert "Still differs from A without a change: no subsystem: R9 removed" in answer.content.decode()
    rest = proposal("other", touches_nothing="on", designators="R9, R10, SB2")
    answer = editor.post(address, rest, follow=True)
    assert "Every part that differs from A is named by a change" in answer.content.decode()


def test_parts_of_no_subsystem_ask_what_they_touch(editor: Client, child: Revision) -> None:
    address = f"{B}proposed-changes/?with=A"
    answer = editor.post(address, proposal("other"))
    assert answer.status_code == 400
    assert "Say which subsystems" in answer.content.decode()
    assert editor.post(address, proposal("other", touches_nothing="on")).status_code == 302
    assert Change.objects.get().subsystems.count() == 0


def test_all_or_none_of_the_picked_are_recorded(editor: Client, child: Revision) -> None:
    both = proposal("RLD", subsystems=["RLD"]) | proposal("other", subsystems=["RLD"], key="BOM-RLD")
    answer = editor.post(f"{B}proposed-changes/?with=A", both)
    assert (answer.status_code, Change.objects.count()) == (400, 0)


def test_nothing_picked_is_said(editor: Client, child: Revision) -> None:
    answer = editor.post(f"{B}proposed-changes/?with=A", {})
    assert "othing is picked" in answer.content.decode()


def test_rules_are_added_and_removed(editor: Client, child: Revision) -> None:
    assert editor.post(RULES, {"subsystem": "RLD", "rule": "r9-r10"}).status_code == 302
    clash = editor.post(RULES, {"subsystem": "RLD", "rule": "R10-R12"})
    assert (clash.status_code, "already belongs to RLD" in clash.content.decode()) == (400, True)
    rule = DesignatorRule.objects.get(rule="R9-R10")
    assert editor.post(f"{RULES}{rule.pk}/remove/").status_code == 302
    assert not DesignatorRule.objects.filter(pk=rule.pk).exists()


@pytest.mark.parametrize(
    ("role", "read", "write"), [("reader", 200, 403), ("stranger", 404, 404)], ids=["reader", "stranger"]
)
def test_it_asks_for_the_role(
    bench: Bench, child: Revision, client: Client, role: str, read: int, write: int
) -> None:
    client.force_login(getattr(bench, role))
    rule = DesignatorRule.objects.get()
    for address in (B, f"{B}compare/", "/p/tern/rev/B/bill.csv", f"{B}compare.csv?with=A", RULES):
        assert client.get(address).status_code == read
    for address in (f"{B}import/", f"{B}proposed-changes/?with=A", RULES, f"{RULES}{rule.pk}/remove/"):
        assert client.post(address, {}).status_code == write


@pytest.mark.parametrize(
    ("address", "queries"),
    [(B, 9), (f"{B}compare/?with=A", 14), (f"{B}proposed-changes/?with=A", 15), (RULES, 7)],
)
def test_a_page_costs_the_same_however_long(
    editor: Client,
    child: Revision,
    address: str,
    queries: int,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    with django_assert_num_queries(queries):
        assert editor.get(address).status_code == 200
