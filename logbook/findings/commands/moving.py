"""Taking a finding one step on, or back, in its life."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from logbook.bench.models import Measurement
from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.core.risk.findings import FindingState
from logbook.findings.choices import PROVING, needs_note
from logbook.findings.models import Finding, FindingEvent
from logbook.findings.queries import moves_from, standing_events
from logbook.projects.commands.belonging import check_belongs


@transaction.atomic
def move_finding(
    *,
    actor: Actor,
    finding: Finding,
    to: str,
    at: datetime | None = None,
    note: str = "",
    measurement: Measurement | None = None,
    duplicate_of: Finding | None = None,
) -> FindingEvent:
    """Record the next step of a finding: it must be one of those the table of moves allows.

    A decision, a closing and a step back say why; *proven* names a passing reading of one of the finding's
    targets, *duplicate* the finding it repeats.

    Raises
    ------
    ConflictError
        The finding cannot go there from where it stands.
    InvalidInputError
        A reason, a reading or the other finding is missing or does not fit.
    """
    # Two people may move it at once; the second must see where the first left it.
    Finding.objects.select_for_update(no_key=True).get(pk=finding.pk)
    before = standing_events().filter(finding=finding).latest("at", "id")
    here = FindingState(before.state)
    goes_to = _checked_move(finding, here, to)
    moment = clock.now()
    event = FindingEvent(
        finding=finding,
        state=str(goes_to),
        at=_checked_moment(at, before, moment),
        note=_checked_note(note, here, goes_to),
        measurement=_checked_proof(finding, goes_to, measurement),
        duplicate_of=_checked_original(finding, goes_to, duplicate_of),
        recorded_at=moment,
        recorded_by=actor.user,
    )
    store_new(event, actor=actor, project_id=finding.project_id)
    return event


def prove_finding(
    *,
    actor: Actor,
    finding: Finding,
    measurement: Measurement,
    at: datetime | None = None,
    note: str = "",
) -> FindingEvent:
    """Record that a reading on built hardware proves the fix."""
    return move_finding(
        actor=actor,
        finding=finding,
        to=str(FindingState.PROVEN),
        at=at,
        note=note,
        measurement=measurement,
    )


def _checked_move(finding: Finding, here: FindingState, to: str) -> FindingState:
    allowed = ", ".join(moves_from(here))
    if to not in list(FindingState):
        raise InvalidInputError.of("to", f"there is no state {to!r}", given=to, allowed=allowed)
    if to not in moves_from(here):
        message = f"{finding} is {here} and cannot become {to}; it may become {allowed}"
        raise ConflictError(message)
    return FindingState(to)


def _checked_moment(given: datetime | None, before: FindingEvent, moment: datetime) -> datetime:
    at = given or moment
    if not before.at <= at <= moment:
        allowed = f"{before.at:%Y-%m-%d %H:%M} to {moment:%Y-%m-%d %H:%M}"
        message = "a step comes after the one before and not in the future"
        raise InvalidInputError.of("at", message, given=at, allowed=allowed)
    return at


def _checked_note(note: str, here: FindingState, goes_to: FindingState) -> str:
    if needs_note(here, goes_to) and not note.strip():
        raise InvalidInputError.of("note", f"say why it is {goes_to}", code="required")
    return note


def _checked_proof(
    finding: Finding, goes_to: FindingState, measurement: Measurement | None
) -> Measurement | None:
    if goes_to != FindingState.PROVEN:
        _refuse_given("measurement", measurement, goes_to)
        return None
    if measurement is None:
        message = "a finding is proven by a reading: name it"
        raise InvalidInputError.of("measurement", message, code="required")
    check_belongs("measurement", measurement, finding.project_id)
    _refuse_unfit(finding, measurement)
    return measurement


def _refuse_unfit(finding: Finding, measurement: Measurement) -> None:
    """Refuse a reading that proves nothing: withdrawn, not passing, of another target, or older."""
    targets = {target.pk: target.key for target in finding.targets.all()}
    wanted = f"a passing reading of {', '.join(targets.values()) or 'a target the finding names (none yet)'}"
    if measurement.is_withdrawn:
        problem = "this reading was withdrawn"
    elif measurement.target_id not in targets:
        problem = "this reading is not of a target of the finding"
    elif measurement.verdict not in PROVING:
        problem = f"this reading does not pass: {measurement.verdict or 'no verdict'}"
    elif measurement.taken_at < finding.found_at:
        problem = "this reading was taken before the finding"
    else:
        return
    raise InvalidInputError.of("measurement", problem, given=measurement.pk, allowed=wanted)


def _checked_original(finding: Finding, goes_to: FindingState, original: Finding | None) -> Finding | None:
    if goes_to != FindingState.DUPLICATE:
        _refuse_given("duplicate_of", original, goes_to)
        return None
    if original is None:
        raise InvalidInputError.of("duplicate_of", "name the finding it repeats", code="required")
    check_belongs("duplicate_of", original, finding.project_id)
    if original.pk == finding.pk:
        raise InvalidInputError.of("duplicate_of", "a finding does not repeat itself", given=original)
    return original


def _refuse_given(field: str, given: object, goes_to: FindingState) -> None:
    if given is not None:
        raise InvalidInputError.of(field, f"a step to {goes_to} takes none", given=given)
