"""Deciding open risks on pages: marking, deciding together, refusing, withdrawing."""

from __future__ import annotations

import pytest
from django.test import Client

from logbook.planning.models import Disposition, NotApplicable
from tests.builders import Bench

RISKS = "/p/tern/rev/A/risks/"
DECIDE = f"{RISKS}decide/"
ROWS = ["target/RLD-2/never tried", "target/RLD-3/never tried"]
ACCEPT = {"decision": "accept", "owner": "wh", "reason": "runs cool", "expires_with": "D"}

pytestmark = pytest.mark.django_db


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    bench.target()
    bench.target("RLD-3")
    client.force_login(bench.editor)
    return client


def test_marked_rows_are_shown_with_a_form_and_nothing_is_stored(editor: Client) -> None:
    shown = editor.post(DECIDE, {"row": ROWS}).content.decode()
    assert "Decide 2 rows" in shown
    assert not Disposition.objects.exists()


def test_several_rows_are_decided_with_one_reason(editor: Client) -> None:
    answer = editor.post(DECIDE, {"row": ROWS, **ACCEPT})
    assert answer.headers["Location"] == RISKS
    assert [row.subject for row in Disposition.objects.all()] == ["RLD-2", "RLD-3"]
    listed = editor.get(RISKS).content.decode()
    assert "Every row has a decision that holds" in listed
    assert "accept by wh until revision D: runs cool" in listed
    assert editor.get(f"{RISKS}?decided=open").context["rows"] == ()


def test_what_is_missing_is_shown_at_its_field(editor: Client) -> None:
    answer = editor.post(DECIDE, {"row": ROWS, **ACCEPT, "owner": ""})
    assert "owner" in answer.context["form"].errors
    assert not Disposition.objects.exists()


def test_a_change_is_named_or_planned_first(editor: Client) -> None:
    answer = editor.post(DECIDE, {"row": ROWS, "decision": "change", "reason": "another part"})
    assert "change" in answer.context["form"].errors
    assert "/p/tern/rev/A/changes/new/" in answer.content.decode()
    assert not Disposition.objects.exists()


def test_a_decision_is_withdrawn_with_a_reason(editor: Client) -> None:
    editor.post(DECIDE, {"row": ROWS, **ACCEPT})
    first = Disposition.objects.earliest("id")
    editor.post(f"/p/tern/rev/A/dispositions/{first.pk}/withdraw/", {"because": "a mistake"})
    first.refresh_from_db()
    assert first.withdrawn_because == "a mistake"


def test_a_target_is_set_aside(editor: Client) -> None:
    editor.post("/p/tern/rev/A/not-applicable/new/", {"target": "RLD-2", "reason": "no such output"})
    assert NotApplicable.objects.get().by == "editor-tern"
    assert "no such output" in editor.get(RISKS).content.decode()


def test_a_reader_sees_decisions_and_makes_none(bench: Bench, client: Client) -> None:
    bench.target()
    client.force_login(bench.reader)
    assert "Decide the marked rows" not in client.get(RISKS).content.decode()
    assert client.post(DECIDE, {"row": ROWS, **ACCEPT}).status_code == 403
