"""The note of the last day: what is kept, and which one counts."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from logbook.common import clock
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.projects.commands import set_project_state, write_shelving_note
from logbook.projects.models import ShelvingNote
from logbook.projects.queries import shelving_of
from tests.builders import Bench


def write(bench: Bench, **texts: str) -> ShelvingNote:
    return write_shelving_note(actor=bench.actor, project=bench.project, texts=texts)


def put(bench: Bench, state: str) -> None:
    set_project_state(actor=bench.actor, project=bench.project, state=state)


def test_a_note_needs_a_project_laid_aside(bench: Bench) -> None:
    with pytest.raises(ConflictError, match="not shelved"):
        write(bench, why_stopped="no money")


def test_an_empty_note_is_refused(bench: Bench) -> None:
    put(bench, "shelved")
    with pytest.raises(InvalidInputError, match="empty"):
        write(bench, why_stopped=" ")


def test_a_part_nobody_knows_is_refused(bench: Bench) -> None:
    put(bench, "shelved")
    with pytest.raises(InvalidInputError, match="no such part"):
        write(bench, mood="fine")


def test_the_newest_note_of_a_shelving_counts_and_the_older_stays(bench: Bench) -> None:
    put(bench, "shelved")
    write(bench, why_stopped="no money")
    second = write(bench, why_stopped="no money, no parts")
    assert shelving_of(bench.project).note == second
    assert ShelvingNote.objects.count() == 2


def test_reopening_keeps_the_note(bench: Bench) -> None:
    put(bench, "shelved")
    note = write(bench, next_steps="soak test")
    put(bench, "active")
    shelving = shelving_of(bench.project)
    assert shelving.note == note
    assert shelving.state is not None
    assert shelving.state.state == "active"


def test_a_later_shelving_does_not_borrow_the_older_note(bench: Bench) -> None:
    put(bench, "shelved")
    write(bench, next_steps="soak test")
    put(bench, "active")
    put(bench, "shelved")
    assert shelving_of(bench.project).note is None


def test_a_past_day_knows_nothing_of_a_later_note(bench: Bench) -> None:
    put(bench, "shelved")
    before = clock.now()
    write_shelving_note(
        actor=bench.actor,
        project=bench.project,
        texts={"unsafe": "the cell is in"},
        look_again_on=date(2031, 1, 1),
    )
    assert shelving_of(bench.project, before).note is None
    assert shelving_of(bench.project, datetime(2000, 1, 1, tzinfo=UTC)).laid_aside is None
