"""Re-checking a rework after it was done, and putting the photos that show it with it."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from logbook.bench.models import Measurement, ReworkEvidence, ReworkRecheck
from logbook.boards.models import Rework
from logbook.common import clock
from logbook.common.changes import Actor, note_change, store_new
from logbook.common.errors import InvalidInputError
from logbook.evidence.models import Evidence
from logbook.projects.commands.belonging import check_belongs


@transaction.atomic
def recheck_rework(
    *,
    actor: Actor,
    rework: Rework,
    at: datetime | None = None,
    measurement: Measurement | None = None,
    note: str = "",
) -> ReworkRecheck:
    """Record that a rework was checked after it was done: by a reading, or by what was seen."""
    moment = clock.now()
    if measurement is not None:
        _check_reading(rework, measurement)
    if measurement is None and not note.strip():
        raise InvalidInputError.of("note", "name a reading, or say what was seen")
    done_at = at or (measurement.taken_at if measurement else moment)
    until = rework.in_force_until or moment
    if not rework.in_force_from <= done_at <= until:
        allowed = f"{rework.in_force_from:%Y-%m-%d %H:%M} to {until:%Y-%m-%d %H:%M}"
        message = f"{rework} was not on {rework.board} at that moment"
        raise InvalidInputError.of("at", message, given=done_at, allowed=allowed)
    recheck = ReworkRecheck(
        rework=rework,
        at=done_at,
        measurement=measurement,
        note=note.strip(),
        recorded_at=moment,
        recorded_by=actor.user,
    )
    store_new(recheck, actor=actor, project_id=rework.board.project_id)
    return recheck


def _check_reading(rework: Rework, measurement: Measurement) -> None:
    """Refuse a reading that says nothing of the rework: of another board, too old, or withdrawn."""
    if measurement.board_id != rework.board_id:
        message = f"this reading is of another board than {rework}"
        raise InvalidInputError.of(
            "measurement", message, given=measurement.pk, allowed=f"readings of {rework.board}"
        )
    if measurement.withdrawn_at is not None:
        raise InvalidInputError.of("measurement", "this reading was withdrawn", given=measurement.pk)
    if measurement.taken_at < rework.in_force_from:
        message = f"this reading was taken before {rework} was done"
        allowed = f"readings from {rework.in_force_from:%Y-%m-%d %H:%M}"
        raise InvalidInputError.of("measurement", message, given=measurement.pk, allowed=allowed)


@transaction.atomic
def attach_to_rework(*, actor: Actor, rework: Rework, evidence: Evidence) -> ReworkEvidence:
    """Put a photo or another file with a rework; the same file twice is one link."""
    project_id = rework.board.project_id
    check_belongs("evidence", evidence, project_id)
    link, is_new = ReworkEvidence.objects.get_or_create(rework=rework, evidence=evidence)
    if is_new:
        note_change(link, action="added", actor=actor, project_id=project_id, fields={})
    return link
