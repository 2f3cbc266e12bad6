"""Pages of lessons: the site's list, one lesson, its forms, and what a revision is asked."""

from __future__ import annotations

from dataclasses import fields
from datetime import date
from typing import Any

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from logbook.bench.models import Target
from logbook.findings.commands import record_finding
from logbook.lessons.commands import answer_lesson
from logbook.lessons.models import Lesson, LessonAnswer
from logbook.lessons.queries.lists import state_of
from logbook.projects.commands import add_revision, change_revision
from logbook.projects.models import Change, Revision
from logbook.web.views.lessons.detail import LessonPage
from logbook.web.views.lessons.listing import LessonListPage
from logbook.web.views.lessons.review import ReviewPage, TodaysEyesPage
from logbook.web.views.structure.form_page import FormPage
from tests.builders import Bench, build_bench
from tests.lessons.writing import write
from tests.web.contexts import received

ONE = "/lessons/TRN-L1/"
REVIEW = "/p/tern/rev/A/lessons/"
EYES = REVIEW + "todays-eyes/"
CSV = "/p/tern/rev/A/lessons.csv"
SITE = {"/lessons/": LessonListPage, ONE: LessonPage}
OF_THE_REVISION = {REVIEW: ReviewPage, EYES: TodaysEyesPage}
NEW = {
    "project": "tern", "rule": "clamp at the connector", "firmness": "should", "discipline": "layout",
    "moment": "placing and routing", "subsystem_kinds": ["power"], "state": "accepted",
    "learned_on": "2024-05-01",
}  # fmt: skip
CHECK = {"name": "divider calculated", "limits": "yes"}


@pytest.fixture
def lesson(bench: Bench) -> Lesson:
    """Return TRN-L1, shared, asked of power subsystems, with a check."""
    return write(bench, check=CHECK, values={"how_to_check": "compute each"})


@pytest.fixture
def editor(bench: Bench, lesson: Lesson, client: Client) -> Client:
    """Return a browser in which the editor is signed in."""
    client.force_login(bench.editor)
    return client


@pytest.fixture
def next_spin(bench: Bench) -> Revision:
    return add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)


@pytest.mark.parametrize("address", [*SITE, "/lessons.csv"])
def test_everyone_reads_what_is_shared(bench: Bench, lesson: Lesson, client: Client, address: str) -> None:
    client.force_login(bench.stranger)
    assert "TRN-L1" in client.get(address).content.decode()


def test_a_stranger_sees_nothing_that_is_not_shared(bench: Bench, client: Client) -> None:
    write(bench, is_shared=False)
    client.force_login(bench.stranger)
    assert client.get(ONE).status_code == 404
    assert "TRN-L1" not in client.get("/lessons/").content.decode()
    assert "TRN-L1" not in client.get("/lessons.csv").content.decode()


def test_a_stranger_reads_a_lesson_without_its_project(bench: Bench, lesson: Lesson, client: Client) -> None:
    answer_lesson(actor=bench.actor, revision=bench.revision, lesson=lesson, answer="heeded", text="secret")
    client.force_login(bench.stranger)
    page = client.get(ONE).content.decode()
    assert "/p/tern/" not in page
    assert "secret" not in page


@pytest.mark.parametrize("address", [*OF_THE_REVISION, CSV])
@pytest.mark.parametrize(("who", "status"), [("owner", 200), ("reader", 200), ("stranger", 404)])
def test_what_a_revision_is_asked_is_for_members(
    bench: Bench, lesson: Lesson, client: Client, address: str, who: str, status: int
) -> None:
    client.force_login(getattr(bench, who))
    assert client.get(address).status_code == status


@pytest.mark.parametrize("who", ["reader", "stranger"])
def test_who_may_only_read_writes_nothing(bench: Bench, lesson: Lesson, client: Client, who: str) -> None:
    client.force_login(getattr(bench, who))
    assert client.get("/lessons/new/").status_code == 403
    assert client.get(ONE + "edit/").status_code == 403
    assert client.post(ONE + "moves/", {"to": "withdrawn", "note": "x"}).status_code == 403
    assert client.post(REVIEW, {"answer": "heeded", "text": "x"}).status_code in {403, 404}
    client.post(ONE + "target/", {"subsystem": bench.subsystem.pk})
    assert (state_of(lesson), LessonAnswer.objects.count(), Target.objects.count()) == ("accepted", 0, 0)


@pytest.mark.parametrize(
    ("address", "context"),
    [*SITE.items(), *OF_THE_REVISION.items(), ("/lessons/new/", FormPage), (ONE + "target/", FormPage)],
)
def test_the_template_gets_its_context(editor: Client, address: str, context: type) -> None:
    assert received(editor.get(address)) == {field.name for field in fields(context)}


def test_a_lesson_is_written_down_with_the_next_key(editor: Client) -> None:
    answer = editor.post("/lessons/new/", NEW | {"check_template": "R04", "is_shared": "on"})
    assert answer["Location"] == "/lessons/TERN-L1/"
    made = Lesson.objects.get(key="TERN-L1")
    assert (made.carried_check.template, made.shared_at is not None) == ("R04", True)


def test_without_the_tick_it_stays_in_its_project(editor: Client) -> None:
    editor.post("/lessons/new/", NEW)
    assert Lesson.objects.get(key="TERN-L1").shared_at is None


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"finding": "F-99"}, "finding"),
        ({"replaces": "NO-L1"}, "replaces"),
        ({"check_name": "ripple", "check_limits": "little"}, "check_limits"),
        ({"subsystem_kinds": []}, "characteristics"),
        ({"project": "gull"}, "project"),
    ],
    ids=str,
)
def test_what_does_not_fit_is_said_at_its_field(editor: Client, given: dict[str, Any], field: str) -> None:
    build_bench("gull")
    answer = editor.post("/lessons/new/", NEW | given)
    assert field in answer.context["form"].errors
    assert Lesson.objects.count() == 1


def test_its_successor_begins_with_what_it_said(editor: Client, lesson: Lesson) -> None:
    form = editor.get("/lessons/new/?replaces=TRN-L1").context["form"]
    assert (form.initial["rule"], form.initial["project"]) == (lesson.rule, "tern")
    editor.post("/lessons/new/", NEW | {"replaces": "TRN-L1", "is_shared": "on"})
    assert state_of(lesson) == "superseded"
    assert "Superseded by" in editor.get(ONE).content.decode()
    assert "TRN-L1" in editor.get("/lessons/TERN-L1/").content.decode()


def test_only_what_is_told_of_an_accepted_lesson_is_changed(editor: Client, lesson: Lesson) -> None:
    form = editor.get(ONE + "edit/").context["form"]
    assert "rule" not in form.fields
    given = {name: value for name, value in form.initial.items() if value}
    assert editor.post(ONE + "edit/", given | {"cost": "one spin"}).status_code == 302
    lesson.refresh_from_db()
    assert (lesson.cost, lesson.how_to_check) == ("one spin", "compute each")


def test_a_proposal_is_changed_and_accepted(editor: Client, bench: Bench) -> None:
    lesson = write(bench, "TRN-L2", state="proposed")
    form = editor.get("/lessons/TRN-L2/edit/").context["form"]
    given = {name: value for name, value in form.initial.items() if value}
    assert editor.post("/lessons/TRN-L2/edit/", given | {"firmness": "consider"}).status_code == 302
    editor.post("/lessons/TRN-L2/moves/", {"to": "accepted"})
    lesson.refresh_from_db()
    assert (lesson.firmness, state_of(lesson)) == ("consider", "accepted")


def test_a_missing_reason_is_asked_for_at_its_field(editor: Client) -> None:
    answer = editor.post(ONE + "moves/", {"to": "withdrawn"})
    assert answer.status_code == 400
    assert "note" in answer.context["move"].errors


def test_its_check_becomes_a_target(editor: Client, bench: Bench) -> None:
    answer = editor.post(ONE + "target/", {"subsystem": bench.subsystem.pk})
    assert answer["Location"] == "/p/tern/targets/RLD-TRN-L1/"
    assert "/p/tern/targets/RLD-TRN-L1/" in editor.get(ONE).content.decode()


def test_one_answer_leads_to_the_next_lesson(editor: Client, bench: Bench) -> None:
    write(bench, "TRN-L2", values={"firmness": "consider"})
    page = editor.get(REVIEW)
    assert (page.context["at_hand"].key, page.context["musts_open"]) == ("TRN-L1", 1)
    answer = editor.post(REVIEW + "?lesson=TRN-L1", {"answer": "heeded", "text": "computed"})
    assert answer["Location"] == REVIEW + "#at-hand"
    after = editor.get(REVIEW)
    assert (after.context["at_hand"].key, after.context["answered"]) == ("TRN-L2", 1)


def test_the_filter_is_kept_from_answer_to_answer(editor: Client) -> None:
    answer = editor.post(REVIEW + "?firmness=must&lesson=TRN-L1", {"answer": "heeded", "text": "x"})
    assert answer["Location"] == REVIEW + "?firmness=must#at-hand"


def test_an_answer_without_its_text_is_asked_for(editor: Client) -> None:
    answer = editor.post(REVIEW + "?lesson=TRN-L1", {"answer": "overruled", "text": ""})
    assert answer.status_code == 400
    assert "text" in answer.context["form"].errors


def test_to_do_becomes_a_change(editor: Client, next_spin: Revision) -> None:
    given = {"answer": "to do", "text": "0.1 % parts", "kind": "BOM", "subsystems": ["RLD"], "key": "DIV"}
    editor.post("/p/tern/rev/B/lessons/?lesson=TRN-L1", given)
    change = Change.objects.get(revision=next_spin)
    assert (change.key, change.kind, change.cause) == ("DIV", "BOM", "TRN-L1")
    assert "/p/tern/rev/B/changes/#DIV" in editor.get("/p/tern/rev/B/lessons/?lesson=TRN-L1").content.decode()


def test_nothing_is_ticked_before_a_person_ticks_it(editor: Client, next_spin: Revision) -> None:
    form = editor.get("/p/tern/rev/B/lessons/").context["form"]
    assert (form["subsystems"].value() or [], form["kind"].value()) == ([], "schematic")


def test_todays_eyes_group_what_is_new_by_subsystem(editor: Client, bench: Bench) -> None:
    change_revision(actor=bench.actor, revision=bench.revision, values={"drawn_on": date(2024, 5, 10)})
    write(bench, "TRN-L2", values={"learned_on": date(2024, 5, 9)})
    write(bench, "TRN-L3", values={"subsystem_kinds": [], "always": True})
    groups = editor.get(EYES).context["groups"]
    shown = [([one.key for one in group.subsystems], [row.key for row in group.rows]) for group in groups]
    assert shown == [(["RLD"], ["TRN-L1"]), ([], ["TRN-L3"])]
    lines = editor.get(CSV + "?since=drawn").content.decode().splitlines()
    assert [line.split(",")[0] for line in lines] == ["lesson", "TRN-L1", "TRN-L3"]


def test_a_finding_leads_to_what_was_learned_from_it(editor: Client, bench: Bench) -> None:
    finding = record_finding(
        actor=bench.actor, project=bench.project, key="F-01", title="low", subsystem=bench.subsystem
    )
    assert (
        "/lessons/new/?project=tern&amp;finding=F-01" in editor.get("/p/tern/findings/F-01/").content.decode()
    )
    write(bench, "TRN-L2", values={"finding": finding})
    assert "/lessons/TRN-L2/" in editor.get("/p/tern/findings/F-01/").content.decode()
    assert "/p/tern/findings/F-01/" in editor.get("/lessons/TRN-L2/").content.decode()


def test_the_list_is_filtered_and_exported(editor: Client) -> None:
    assert "No lesson fits" in editor.get("/lessons/?firmness=should").content.decode()
    lines = editor.get("/lessons.csv?state=standing").content.decode().splitlines()
    assert lines[1].startswith("TRN-L1,compute dividers as fitted,accepted,must")


@pytest.mark.parametrize("address", ["/", "/p/tern/rev/A/", "/p/tern/rev/A/risks/"])
def test_other_pages_lead_there(editor: Client, address: str) -> None:
    page = editor.get(address).content.decode()
    assert 'href="/lessons/"' in page or REVIEW in page


def test_the_pages_cost_the_same_however_many(
    editor: Client, bench: Bench, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(2, 9):
        one = write(bench, f"TRN-L{number}")
        answer_lesson(actor=bench.actor, revision=bench.revision, lesson=one, answer="heeded", text="so")
    for address, most in (("/lessons/", 4), (ONE, 12), (REVIEW, 12), (EYES, 12)):
        with django_assert_max_num_queries(most):
            assert editor.get(address).status_code == 200


def test_an_open_risk_leads_to_its_answer(editor: Client) -> None:
    page = editor.get("/p/tern/rev/A/risks/").content.decode()
    assert f"{REVIEW}?lesson=TRN-L1" in page
    assert ONE in page
