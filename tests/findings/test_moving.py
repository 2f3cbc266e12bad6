"""The life of a finding."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from logbook.bench.commands import withdraw_measurement
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.common.models import ChangeRecord
from logbook.core.risk.findings import CLOSED, FindingState
from logbook.findings.choices import MOVES
from logbook.findings.commands import move_finding, prove_finding, record_finding
from logbook.findings.models import Finding, FindingEvent
from logbook.findings.queries import life_of, state_of
from tests.builders import Bench, build_bench
from tests.findings.walking import walk


def move(bench: Bench, finding: Finding, to: str, **given: Any) -> FindingEvent:
    return move_finding(actor=bench.actor, finding=finding, to=to, **given)


def test_it_goes_all_the_way_and_is_proven_by_a_reading(bench: Bench, finding: Finding) -> None:
    walk(bench, finding, "built")
    reading = bench.read("3.3 V", expanded_uncertainty="1 mV")
    prove_finding(actor=bench.actor, finding=finding, measurement=reading)
    states = [event.state for event in life_of(finding)]
    assert states == ["suspected", "reproduced", "understood", "decided", "in the files", "built", "proven"]
    assert life_of(finding)[-1].measurement == reading


def test_every_step_is_on_record(bench: Bench, finding: Finding) -> None:
    move(bench, finding, "reproduced")
    assert ChangeRecord.objects.filter(kind="step of a finding").get().title == "F-01 reproduced"


@pytest.mark.parametrize(
    "to", [state for state in FindingState if state not in MOVES[FindingState.SUSPECTED]]
)
def test_it_refuses_a_jump_and_names_what_is_allowed(bench: Bench, finding: Finding, to: str) -> None:
    with pytest.raises(ConflictError) as refused:
        move(bench, finding, to)
    assert f"F-01 is suspected and cannot become {to}; it may become reproduced, understood" in str(
        refused.value
    )


def test_every_state_can_be_left_and_reached() -> None:
    reached = {state for allowed in MOVES.values() for state in allowed}
    assert set(MOVES) == reached == set(FindingState)
    assert all(MOVES.values())


@pytest.mark.parametrize("to", sorted(CLOSED - {FindingState.DUPLICATE}))
def test_it_is_not_closed_without_a_reason(bench: Bench, finding: Finding, to: str) -> None:
    with pytest.raises(InvalidInputError) as refused:
        move(bench, finding, to)
    assert refused.value.problems[0].field == "note"
    move(bench, finding, to, note="the probe was loose")
    assert state_of(finding) == to


def test_a_decision_and_a_step_back_say_why(bench: Bench, finding: Finding) -> None:
    walk(bench, finding, "understood")
    with pytest.raises(InvalidInputError, match="say why it is decided"):
        move(bench, finding, "decided")
    walk_on = {"to": "decided", "note": "fix in B"}
    move_finding(actor=bench.actor, finding=finding, **walk_on)
    with pytest.raises(InvalidInputError, match="say why it is understood"):
        move(bench, finding, "understood", note="  ")


def test_a_duplicate_names_the_other(bench: Bench, finding: Finding) -> None:
    other = record_finding(
        actor=bench.actor, project=bench.project, key="F-02", title="low again", subsystem=bench.subsystem
    )
    for wrong in ({}, {"duplicate_of": other}):
        with pytest.raises(InvalidInputError) as refused:
            move(bench, other, "duplicate", note="same", **wrong)
        assert refused.value.problems[0].field == "duplicate_of"
    assert move(bench, other, "duplicate", note="same", duplicate_of=finding).duplicate_of == finding


def test_only_a_duplicate_names_another(bench: Bench, finding: Finding) -> None:
    with pytest.raises(InvalidInputError, match="takes none"):
        move(bench, finding, "reproduced", duplicate_of=finding)


@pytest.mark.parametrize(
    ("problem", "reading"),
    [
        ("does not pass: fail", {"value": "3.1 V"}),
        ("not of a target of the finding", {"value": "1.2 V", "target": "RLD-3"}),
        ("before the finding", {"value": "3.3 V", "taken_at": timezone.now() - timedelta(days=9)}),
        ("does not pass: no verdict", {"value": "inconclusive"}),
    ],
    ids=["failing", "of another target", "older", "inconclusive"],
)
def test_a_reading_that_proves_nothing_is_refused(
    bench: Bench, finding: Finding, problem: str, reading: dict[str, Any]
) -> None:
    walk(bench, finding, "built")
    measurement = bench.read(expanded_uncertainty="1 mV", **reading)
    with pytest.raises(InvalidInputError, match=problem) as refused:
        prove_finding(actor=bench.actor, finding=finding, measurement=measurement)
    assert refused.value.problems[0].allowed == "a passing reading of RLD-2"


def test_it_is_not_proven_without_a_reading(bench: Bench, finding: Finding) -> None:
    walk(bench, finding, "built")
    with pytest.raises(InvalidInputError, match="proven by a reading"):
        move(bench, finding, "proven")
    with pytest.raises(IntegrityError), transaction.atomic():
        FindingEvent.objects.create(
            finding=finding, state="proven", at=timezone.now(), recorded_at=timezone.now()
        )


def test_a_withdrawn_reading_proves_nothing_any_more(bench: Bench, finding: Finding) -> None:
    walk(bench, finding, "built")
    reading = bench.read("3.3 V", expanded_uncertainty="1 mV")
    prove_finding(actor=bench.actor, finding=finding, measurement=reading)
    withdraw_measurement(actor=bench.actor, measurement=reading, because="wrong board")
    assert state_of(finding) == "built"
    assert len(life_of(finding)) == 7
    with pytest.raises(InvalidInputError, match="was withdrawn"):
        prove_finding(actor=bench.actor, finding=finding, measurement=reading)


def test_a_reading_of_another_project_is_refused(bench: Bench, finding: Finding) -> None:
    other = build_bench("gull")
    other.target()
    walk(bench, finding, "built")
    with pytest.raises(InvalidInputError, match="another project"):
        prove_finding(actor=bench.actor, finding=finding, measurement=other.read("3.3 V"))


@pytest.mark.parametrize("days", [-1, 1], ids=["before the step before", "in the future"])
def test_steps_are_in_the_order_of_time(bench: Bench, finding: Finding, days: int) -> None:
    with pytest.raises(InvalidInputError, match="a step comes after the one before") as refused:
        move(bench, finding, "reproduced", at=timezone.now() + timedelta(days=days))
    assert refused.value.problems[0].field == "at"
