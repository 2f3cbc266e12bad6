"""Pages of findings: the list, one finding, its next step, and the erratum sheet."""

from __future__ import annotations

from dataclasses import fields
from io import BytesIO

import pytest
from django.test import Client
from pypdf import PdfReader
from pytest_django import DjangoAssertNumQueries

from logbook.bench.commands import recheck_rework, record_rework
from logbook.findings.commands import link_rework, prove_finding, record_finding
from logbook.findings.models import Finding
from logbook.findings.queries import state_of
from logbook.web.views.findings.detail import FindingPage
from logbook.web.views.findings.errata import ErratumSheetPage
from logbook.web.views.findings.listing import FindingListPage
from logbook.web.views.structure.form_page import FormPage
from tests.builders import Bench
from tests.findings.walking import walk
from tests.web.contexts import received

LIST = "/p/tern/findings/"
ONE = LIST + "F-01/"
READ = {LIST: FindingListPage, ONE: FindingPage, "/p/tern/rev/A/errata/": ErratumSheetPage}
RECORD = [LIST + "new/", ONE + "edit/"]


@pytest.fixture
def finding(bench: Bench) -> Finding:
    """Return F-01 on the 3.3 V rail, just suspected."""
    return record_finding(
        actor=bench.actor,
        project=bench.project,
        key="F-01",
        title="3.3 V reads low",
        subsystem=bench.subsystem,
        found_on=bench.board,
        targets=[bench.target()],
        values={"severity": "S2", "workaround": "load it less", "trigger": "always"},
    )


@pytest.fixture
def editor(bench: Bench, finding: Finding, client: Client) -> Client:
    """Return a browser in which the editor is signed in."""
    client.force_login(bench.editor)
    return client


@pytest.mark.parametrize("address", [*READ, "/p/tern/findings.csv", "/p/tern/rev/A/errata.pdf"])
@pytest.mark.parametrize(("who", "status"), [("owner", 200), ("reader", 200), ("stranger", 404)])
def test_members_read_and_strangers_find_nothing(
    bench: Bench, finding: Finding, client: Client, address: str, who: str, status: int
) -> None:
    client.force_login(getattr(bench, who))
    assert client.get(address).status_code == status


@pytest.mark.parametrize("address", [*RECORD, ONE + "moves/", ONE + "evidence/"])
def test_a_reader_changes_nothing(bench: Bench, finding: Finding, client: Client, address: str) -> None:
    client.force_login(bench.reader)
    assert client.post(address, {"to": "reproduced"}).status_code == 403
    assert state_of(finding) == "suspected"


@pytest.mark.parametrize(("address", "context"), [*READ.items(), (RECORD[0], FormPage)])
def test_the_template_gets_its_context(editor: Client, address: str, context: type) -> None:
    assert received(editor.get(address)) == {field.name for field in fields(context)}


def test_it_names_the_reworks_done_because_of_it(editor: Client, bench: Bench, finding: Finding) -> None:
    rework = record_rework(
        actor=bench.actor, board=bench.board, key="RW-01", kind="wire link", intent="repair",
        what="wire over R4", subsystems=[bench.subsystem],
    )  # fmt: skip
    assert "wire over R4" not in editor.get(ONE).content.decode()
    link_rework(actor=bench.actor, finding=finding, rework=rework)
    page = editor.get(ONE).content.decode()
    assert '<a class="num" href="/p/tern/boards/0001/reworks/RW-01/">0001 RW-01</a>' in page
    assert "re-check open" in page
    recheck_rework(actor=bench.actor, rework=rework, note="no bridge")
    assert "re-check open" not in editor.get(ONE).content.decode()


def test_a_finding_is_recorded_with_the_next_key(editor: Client) -> None:
    page = editor.get(LIST + "new/?found_on=0001&subsystem=RLD&targets=RLD-2").content.decode()
    assert 'value="F-02"' in page
    given = {"key": "F-02", "title": "a hum", "subsystem": "RLD", "severity": "S4", "found_on": "0001"}
    answer = editor.post(LIST + "new/", given | {"targets": ["RLD-2"]})
    assert answer["Location"] == "/p/tern/findings/F-02/"
    assert [board.serial for board in Finding.objects.get(key="F-02").boards.all()] == ["0001"]


def test_what_it_says_is_changed_and_nothing_else_is_lost(editor: Client, finding: Finding) -> None:
    form = editor.get(ONE + "edit/").context["form"]
    given = {name: value for name, value in form.initial.items() if value}
    assert editor.post(ONE + "edit/", given | {"workaround": "cool it"}).status_code == 302
    finding.refresh_from_db()
    assert (finding.workaround, finding.title, finding.trigger) == ("cool it", "3.3 V reads low", "always")
    assert finding.targets.get().key == "RLD-2"


def test_only_allowed_steps_are_offered(editor: Client) -> None:
    offered = [value for value, _ in editor.get(ONE).context["step"].fields["to"].choices]
    assert offered[:2] == ["reproduced", "understood"]
    assert "built" not in offered


def test_a_step_is_recorded(editor: Client, finding: Finding) -> None:
    assert editor.post(ONE + "moves/", {"to": "reproduced"})["Location"] == ONE
    assert state_of(finding) == "reproduced"


def test_a_missing_reason_is_asked_for_at_its_field(editor: Client, finding: Finding) -> None:
    answer = editor.post(ONE + "moves/", {"to": "not ours"})
    assert answer.status_code == 400
    assert answer.context["step"].errors["note"] == ["Say why it is not ours"]


def test_the_reading_that_proves_it_is_chosen(editor: Client, bench: Bench, finding: Finding) -> None:
    walk(bench, finding, "built")
    bench.read("3.1 V", expanded_uncertainty="1 mV")
    good = bench.read("3.3 V", expanded_uncertainty="1 mV")
    offered = editor.get(ONE).context["step"].fields["measurement"].queryset
    assert [one.pk for one in offered] == [good.pk]
    editor.post(ONE + "moves/", {"to": "proven", "measurement": good.pk})
    assert "by <a" in editor.get(ONE).content.decode()


def test_the_erratum_sheet_says_plan_and_proof(editor: Client, bench: Bench, finding: Finding) -> None:
    sheet = "/p/tern/rev/A/errata/"
    assert "1 more only suspected" in editor.get(sheet).content.decode()
    walk(bench, finding, "built")
    assert "built, not proven by a reading" in editor.get(sheet).content.decode()
    reading = bench.read("3.3 V", expanded_uncertainty="1 mV")
    prove_finding(actor=bench.actor, finding=finding, measurement=reading)
    page = editor.get(sheet).content.decode()
    for said in ("3.3 V reads low", "always", "load it less", "68k over 15k", "proven on", "0001"):
        assert said in page


def test_the_erratum_sheet_is_a_file_of_its_own(editor: Client, bench: Bench, finding: Finding) -> None:
    walk(bench, finding, "built")
    answer = editor.get("/p/tern/rev/A/errata.pdf")
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'attachment; filename="tern-A-errata.pdf"'
    text = PdfReader(BytesIO(answer.content)).pages[0].extract_text()
    assert "3.3 V reads low" in text
    assert "Next spin" not in text


def test_the_list_is_filtered_and_exported(editor: Client) -> None:
    assert "No finding fits" in editor.get(LIST + "?severity=S1").content.decode()
    lines = editor.get("/p/tern/findings.csv?state=open").content.decode().splitlines()
    assert lines[0].startswith("finding,title,state")
    assert lines[1].startswith("F-01,3.3 V reads low,suspected,S2")


@pytest.mark.parametrize("address", ["/p/tern/boards/0001/", "/p/tern/targets/RLD-2/", "/p/tern/bench/0001/"])
def test_other_pages_lead_to_it(editor: Client, address: str) -> None:
    assert ONE in editor.get(address).content.decode()


def test_the_project_leads_to_the_findings(editor: Client) -> None:
    assert LIST in editor.get("/p/tern/").content.decode()


def test_the_pages_cost_the_same_however_many(
    editor: Client, bench: Bench, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(2, 9):
        record_finding(
            actor=bench.actor,
            project=bench.project,
            key=f"F-{number:02d}",
            title="another",
            subsystem=bench.subsystem,
            found_on=bench.board,
        )
    # session, person, membership, five of the list, the counts
    with django_assert_num_queries(9):
        editor.get(LIST)
