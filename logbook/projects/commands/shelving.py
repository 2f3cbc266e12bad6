"""Writing down what would be lost when a project is laid aside."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from django.db import transaction

from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.projects.choices import ProjectState
from logbook.projects.models import NOTE_TEXTS, Project, ShelvingNote
from logbook.projects.queries import state_events_of


@transaction.atomic
def write_shelving_note(
    *, actor: Actor, project: Project, texts: Mapping[str, str], look_again_on: date | None = None
) -> ShelvingNote:
    """Keep a note with the shelving that is in force; an earlier note of it stays on record."""
    event = state_events_of(project).first()
    if event is None or event.state == ProjectState.ACTIVE:
        message = f"{project} is not shelved or finished: record that first, then write its note"
        raise ConflictError(message)
    if unknown := set(texts) - set(NOTE_TEXTS):
        given = ", ".join(sorted(unknown))
        raise InvalidInputError.of(
            "texts", "the note has no such part", given=given, allowed=", ".join(NOTE_TEXTS)
        )
    said = {name: text.strip() for name, text in texts.items()}
    if not any(said.values()):
        message = "the note is empty: one line is worth more than none"
        raise InvalidInputError.of("why_stopped", message, allowed="any of its parts")
    note = ShelvingNote(event=event, look_again_on=look_again_on, **said)
    note.recorded_at, note.recorded_by = clock.now(), actor.user
    store_new(note, actor=actor, project_id=project.pk)
    return note
