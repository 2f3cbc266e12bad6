"""Decisions on open risks: which rows there are, what a decision does, and when it no longer holds."""

from __future__ import annotations

from collections import Counter
from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from logbook.bench.commands import (
    ReadingInput,
    issue_target,
    record_readings,
)
from logbook.bench.commands.targets import Asked
from logbook.boards.commands import record_change
from logbook.common import clock
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.common.models import ChangeRecord
from logbook.findings.commands import move_finding
from logbook.planning.commands import (
    RiskSubject,
    decide_not_applicable,
    decide_risks,
    withdraw_disposition,
    withdraw_not_applicable,
)
from logbook.planning.models import Disposition
from logbook.planning.queries import coverage_of, open_risks_of
from logbook.projects.commands import (
    add_subsystem,
    withdraw_change,
)
from tests.builders import Bench
from tests.planning.decisions import (
    ACCEPT,
    DAY,
    NOON,
    child,
    decide,
    finding,
    hold,
    nothing_changed,
    only,
    planned,
    rework,
    rows,
)


def test_a_decision_is_kept_with_its_facts_and_a_record(bench: Bench) -> None:
    bench.target()
    made = decide(bench, **ACCEPT)
    row = only(bench.revision)
    assert (row.is_decided, row.disposition and row.disposition.says) == (
        True,
        "accept by wh until revision D: runs cool",
    )
    assert made.fingerprint == {"issue of RLD-2": "1", "kind": "never tried", "level": "Serious"}
    assert made.told == row.reason
    assert ChangeRecord.objects.filter(kind="disposition", action="added").count() == 1


@pytest.mark.parametrize(
    ("given", "fields"),
    [
        ({"decision": "accept", "reason": "x", "expires_with": "D"}, ["owner"]),
        ({"decision": "accept", "owner": "wh", "expires_with": "D"}, ["reason"]),
        ({"decision": "accept", "owner": "wh", "reason": "x"}, ["expires_on"]),
        ({"decision": "accept", "owner": "wh", "reason": "x", "expires_with": "A"}, ["expires_with"]),
        ({"decision": "defer"}, ["reopens_with"]),
        ({"decision": "defer", "reopens_with": "A"}, ["reopens_with"]),
        ({"decision": "change", "expires_with": "D"}, ["expires_with"]),
        ({"decision": "accept", "reopens_with": "D"}, ["reopens_with"]),
        ({"decision": "ignore"}, ["decision"]),
    ],
    ids=lambda value: "-".join(map(str, value)),
)
def test_a_decision_that_lacks_something_names_the_field(
    bench: Bench, given: dict[str, Any], fields: list[str]
) -> None:
    bench.target()
    with pytest.raises(InvalidInputError) as refused:
        decide(bench, **given)
    assert [problem.field for problem in refused.value.problems] == fields
    assert not Disposition.objects.exists()


def test_what_can_damage_is_not_deferred_and_none_of_the_rows_is_stored(bench: Bench) -> None:
    bench.target(values={"severity": "S1"})
    bench.target("RLD-3")
    names = [RiskSubject("target", "RLD-3"), RiskSubject("target", "RLD-2")]
    with pytest.raises(InvalidInputError, match="RLD-2: what can damage"):
        decide(bench, *names, decision="defer", reopens_with="D")
    assert not Disposition.objects.exists()
    decide(bench, *names, **ACCEPT)
    assert all(row.is_decided for row in rows(bench.revision))


def test_the_table_itself_refuses_an_acceptance_without_an_end(bench: Bench) -> None:
    row = Disposition(
        revision=bench.revision, subject_kind="target", subject="X", kind="failing", decision="accept",
        owner="wh", reason="x", fingerprint={"kind": "failing"}, told="x", by="x", recorded_at=NOON,
    )  # fmt: skip
    with pytest.raises(ValidationError, match="An acceptance needs an owner, a reason and an end"):
        row.full_clean()


def test_a_new_reading_opens_the_row_again_and_is_named(bench: Bench) -> None:
    bench.target(values={"severity": "S4"})
    decide(bench, **ACCEPT)
    bench.read("9")
    row = only(bench.revision)
    assert not row.is_decided
    assert hold(row) == ("open again", "new reading of RLD-2 on 0001: fail; was never tried, now failing")


def test_a_new_issue_opens_it_again(bench: Bench) -> None:
    target = bench.target()
    decide(bench, **ACCEPT)
    issue_target(
        actor=bench.actor,
        target=target,
        asked=Asked(limits="3.2..3.4 V"),
        reason="new reading of the data sheet",
    )
    assert hold(only(bench.revision)) == ("open again", "issue of RLD-2 was 1, now 2")


def test_a_change_that_touches_it_opens_it_again(bench: Bench) -> None:
    bench.target()
    second = child(bench)
    nothing_changed(bench, second)
    decide(bench, revision=second, **ACCEPT)
    record_change(
        actor=bench.actor, revision=second, key="F-9", kind="BOM", what="x", subsystems=[bench.subsystem]
    )
    assert hold(only(second)) == ("open again", "change F-9 of B now touches it")


def test_a_step_of_the_finding_opens_it_again(bench: Bench) -> None:
    found = finding(bench)
    decide(bench, RiskSubject("finding", "F-01"), **ACCEPT)
    move_finding(actor=bench.actor, finding=found, to="reproduced")
    assert "finding was suspected, now reproduced" in hold(only(bench.revision))[1]


def test_test_first_waits_and_then_stands(bench: Bench) -> None:
    bench.target(boards_needed=2)
    decide(bench, decision="test first")
    assert hold(only(bench.revision)) == ("waiting for its reading", "")
    assert not only(bench.revision).is_decided
    bench.read("3.3")
    assert hold(only(bench.revision))[0] == "stands"


def test_an_acceptance_by_day_lapses_the_day_after(bench: Bench) -> None:
    with clock.standing_at(NOON):
        bench.target()
        decide(bench, **ACCEPT | {"expires_with": "", "expires_on": date(2024, 3, 31)})
    held = {day: hold(only(bench.revision, day))[0] for day in (date(2024, 3, 31), date(2024, 4, 1))}
    assert list(held.values()) == ["stands", "lapsed"]


def test_an_acceptance_counts_on_descendants_until_its_revision(bench: Bench) -> None:
    bench.target()
    bench.read("9")
    decide(bench, **ACCEPT | {"expires_with": "C"})
    second = child(bench)
    nothing_changed(bench, second)
    assert only(second).is_decided
    third = child(bench, "C", second)
    nothing_changed(bench, third)
    assert hold(only(third)) == ("lapsed", "accepted by wh until revision C, which is here")
    fourth = child(bench, "D", third)
    nothing_changed(bench, fourth)
    assert hold(only(fourth))[0] == "lapsed"


def test_a_planned_change_or_test_counts_on_its_own_revision_only(bench: Bench) -> None:
    bench.target()
    bench.read("9")
    second = child(bench)
    decide(bench, decision="change", change=planned(bench, second))
    nothing_changed(bench, second)
    assert only(bench.revision).is_decided
    assert only(second).disposition is None


def test_a_change_nobody_named_decides_nothing(bench: Bench) -> None:
    bench.target()
    decide(bench, decision="change")
    assert hold(only(bench.revision))[0] == "no change named yet"
    assert not only(bench.revision).is_decided


def test_a_row_is_open_again_when_its_change_is_withdrawn(bench: Bench) -> None:
    with clock.standing_at(NOON):
        bench.target()
        change = planned(bench, child(bench))
        decide(bench, decision="change", change=change)
    assert only(bench.revision).is_decided
    withdraw_change(actor=bench.actor, change=change, because="dropped")
    assert hold(only(bench.revision)) == ("open again", "change F-01 of B was withdrawn")
    assert only(bench.revision, NOON.date()).is_decided


def test_a_lapsed_acceptance_stays_a_row_when_its_risk_is_gone(bench: Bench) -> None:
    with clock.standing_at(NOON):
        bench.target()
        made = decide(bench, **ACCEPT | {"expires_with": "", "expires_on": date(2024, 3, 31)})
    bench.read("3.3")
    row = only(bench.revision)
    assert (row.kind, row.subject, row.is_decided) == ("acceptance lapsed", "RLD-2", False)
    assert row.reason == "accepted by wh until 2024-03-31, which is over"
    withdraw_disposition(actor=bench.actor, disposition=made, because="measured since")
    assert rows(bench.revision) == []


def test_a_newer_decision_takes_the_place_of_an_older_one(bench: Bench) -> None:
    bench.target()
    decide(bench, decision="test first")
    decide(bench, **ACCEPT)
    row = only(bench.revision)
    assert row.disposition
    assert row.disposition.record.decision == "accept"


def test_withdrawing_leaves_the_row_undecided_and_past_days_keep_it(bench: Bench) -> None:
    with clock.standing_at(NOON):
        bench.target()
        decide(bench, decision="change")
    with clock.standing_at(NOON + DAY):
        made = decide(bench, **ACCEPT)
    with clock.standing_at(NOON + 2 * DAY):
        withdraw_disposition(actor=bench.actor, disposition=made, because="a mistake")
    said = [only(bench.revision, (NOON + days * DAY).date()).disposition for days in range(3)]
    assert [one and one.record.decision for one in said] == ["change", "accept", None]
    with pytest.raises(ConflictError):
        withdraw_disposition(actor=bench.actor, disposition=made, because="again")


def test_undecided_rows_come_first_and_deciding_loses_none(bench: Bench) -> None:
    for key, severity in [("A", "S1"), ("B", "S2"), ("C", "S3"), ("D", "S4")]:
        bench.target(key, values={"severity": severity})
    finding(bench, "F-01", "C")
    rework(bench)
    before = Counter(row.matter for row in rows(bench.revision))
    names = [RiskSubject("target", "A"), RiskSubject("finding", "F-01")]
    decide_risks(actor=bench.actor, revision=bench.revision, rows=names, **ACCEPT)
    after = rows(bench.revision)
    assert Counter(row.matter for row in after) == before
    assert [row.is_decided for row in after] == sorted(row.is_decided for row in after)
    assert {row.subject for row in after if row.is_decided} == {"A", "F-01"}


def test_a_target_inside_a_finding_is_decided_with_it(bench: Bench) -> None:
    bench.target()
    finding(bench, "F-01", "RLD-2")
    with pytest.raises(InvalidInputError, match="decided with that"):
        decide(bench, **ACCEPT)


def test_an_accepted_target_is_waived_and_shows_what_lies_beneath(bench: Bench) -> None:
    bench.target()
    bench.target("RLD-4", needs=["RLD-2"])
    bench.read("9")
    finding(bench, "F-01", "RLD-2")
    decide(bench, RiskSubject("finding", "F-01"), **ACCEPT)
    first, second = coverage_of(bench.revision).rows
    assert (first.state, first.beneath, first.boards[0].verdict) == ("waived", "failing", "fail")
    assert first.reason.startswith("accept by wh until revision D: runs cool; beneath: failing, 0001: 9")
    assert second.state == "blocked"
    bench.extra_board("0002")
    bench.read("8", board="0002")
    assert coverage_of(bench.revision).rows[0].state == "failing"


def test_a_target_decided_not_applicable_leaves_the_list_until_withdrawn(bench: Bench) -> None:
    with clock.standing_at(NOON):
        target = bench.target()
        made = decide_not_applicable(
            actor=bench.actor, revision=bench.revision, target=target, reason="no such output"
        )
    assert rows(bench.revision) == []
    (row,) = coverage_of(bench.revision).rows
    assert (row.state, row.reason) == (
        "not applicable",
        "decided not applicable by owner-tern: no such output",
    )
    withdraw_not_applicable(actor=bench.actor, decided=made, because="it is fitted after all")
    assert [row.kind for row in rows(bench.revision)] == ["never tried"]
    assert rows(bench.revision, (NOON + DAY).date()) == []


def test_its_cost_grows_neither_with_rows_nor_with_decisions(
    bench: Bench, django_assert_max_num_queries: Any
) -> None:
    add_subsystem(actor=bench.actor, project=bench.project, key="CLK", name="clocks", kind="clocks")
    for size in (2, 12):
        for number in range(size):
            bench.target(f"T{size}-{number}")
            finding(bench, f"F{size}-{number}", f"T{size}-{number}")
            rework(bench, f"RW{size}-{number}")
        items = [ReadingInput("tern", "0001", "9", f"T{size}-{n}", key=f"{size}/{n}") for n in range(size)]
        record_readings(actor=bench.actor, items=items)
        named = [RiskSubject(row.subject_kind, row.subject, row.kind) for row in rows(bench.revision)]
        decide_risks(actor=bench.actor, revision=bench.revision, rows=named, **ACCEPT)
        with django_assert_max_num_queries(24):
            open_risks_of(bench.revision)
        with django_assert_max_num_queries(26):
            coverage_of(bench.revision)
