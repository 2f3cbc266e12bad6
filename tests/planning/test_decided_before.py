"""Everything that was decided about a subject, and what ended each decision."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.test import Client

from logbook.common import clock
from logbook.core.risk import SubjectKind
from logbook.planning.commands import RiskSubject, decide_not_applicable, withdraw_disposition
from logbook.planning.queries import open_risks_of
from logbook.planning.queries.decided_before import DecidedBefore, decided_before
from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench
from tests.planning.decisions import ACCEPT, DAY, NOON, child, decide, finding, only

CHANGED_MIND: dict[str, Any] = {"decision": "defer", "reopens_with": "D", "reason": "no time"}


def told(bench: Bench) -> list[DecidedBefore]:
    return decided_before(bench.project, SubjectKind.TARGET, "RLD-2")


def test_a_newer_decision_ends_the_older_and_says_what_had_changed(bench: Bench) -> None:
    bench.target(values={"severity": "S3"})
    with clock.standing_at(NOON):
        decide(bench, **ACCEPT)
    bench.read("3.5 V")
    with clock.standing_at(NOON + DAY):
        decide(bench, **CHANGED_MIND)
    newest, first = told(bench)
    assert (newest.decision, newest.ended, newest.waives) == ("defer", "", False)
    assert first.says == "accept by wh until revision D: runs cool"
    assert first.ended.startswith("decided anew 2024-03-02, because new reading of RLD-2 on 0001: fail")
    assert first.told == "no reading on any board of this revision"


def test_it_lapses_after_its_last_day(bench: Bench) -> None:
    bench.target()
    with clock.standing_at(NOON):
        decide(bench, decision="accept", owner="wh", reason="runs cool", expires_on=date(2024, 3, 2))
    with clock.standing_at(NOON + DAY):
        assert told(bench)[0].waives
    with clock.standing_at(NOON + 2 * DAY):
        assert told(bench)[0].ended == "lapsed after 2024-03-02"
        assert only(bench.revision).disposition is not None


def test_decisions_of_every_revision_are_told(bench: Bench) -> None:
    bench.target()
    with clock.standing_at(NOON):
        first = decide(bench, **ACCEPT)
        withdraw_disposition(actor=bench.actor, disposition=first, because="typed on the wrong row")
    with clock.standing_at(NOON + DAY):
        target = bench.project.targets.get()
        decide_not_applicable(actor=bench.actor, revision=child(bench), target=target, reason="no such rail")
    assert [(one.revision, one.says.partition(":")[0]) for one in told(bench)] == [
        ("B", "not applicable"),
        ("A", "accept by wh until revision D"),
    ]
    assert told(bench)[1].ended == "withdrawn 2024-03-01: typed on the wrong row"


def test_a_target_tells_what_was_decided_with_its_finding(bench: Bench, client: Client) -> None:
    bench.target()
    finding(bench, "F-01", "RLD-2", severity="S3")
    decide(bench, RiskSubject("finding", "F-01"), **ACCEPT)
    client.force_login(bench.reader)
    page = client.get("/p/tern/targets/RLD-2/").content.decode()
    assert '<span class="word none">waived</span> <a href="/p/tern/rev/A/risks/">on A</a>' in page
    assert 'with <a href="/p/tern/findings/F-01/">F-01</a>: accept by wh until revision D' in page
    own = client.get("/p/tern/findings/F-01/").content.decode()
    assert "accept by wh until revision D" in own
    assert "waived" not in own


def test_pages_and_the_api_tell_it(bench: Bench, client: Client) -> None:
    bench.target()
    decide(bench, **ACCEPT)
    client.force_login(bench.editor)
    page = client.get("/p/tern/targets/RLD-2/").content.decode()
    assert '<span class="word none">waived</span>' in page
    assert '<a href="/p/tern/rev/A/risks/">on A</a>: accept by wh until revision D: runs cool' in page
    (row,) = open_risks_of(bench.revision).rows
    address = f"/p/tern/rev/A/risks/decide/?row=target/RLD-2/{row.kind}"
    assert "What was decided before" in client.get(address).content.decode()
    script: Caller = caller_for(bench.editor, "read")
    path = "projects/tern/decided-before/?subject_kind=target&subject="
    (one,) = script.get(path + "RLD-2").json()["decisions"]
    assert (one["revision"], one["decision"], one["ended"]) == ("A", "accept", "")
    assert script.get(path + "RLD-9").json()["decisions"] == []
    problem_of(script.get("projects/tern/decided-before/?subject_kind=rail&subject=x"), 400)
