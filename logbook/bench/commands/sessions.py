"""Opening, changing and closing bench sessions."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from logbook.accounts.models import User
from logbook.bench.models import BenchSession, Instrument
from logbook.boards.models import Board
from logbook.common import clock
from logbook.common.changes import Actor, store_changes, store_new
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Project


@transaction.atomic
def open_bench_session(
    *,
    actor: Actor,
    project: Project,
    title: str,
    started_at: datetime | None = None,
    people: Sequence[User] = (),
    boards: Sequence[Board] = (),
    instruments: Sequence[Instrument] = (),
    values: dict[str, Any] | None = None,
) -> BenchSession:
    """Open a sitting at the bench; whoever opens it takes part in it."""
    for board in boards:
        check_belongs("boards", board, project)
    session = BenchSession(
        project=project, title=title, started_at=started_at or clock.now(), **(values or {})
    )
    store_new(session, actor=actor)
    session.people.set({*people, *([actor.user] if actor.user else [])})
    session.boards.set(boards)
    session.instruments.set(instruments)
    return session


@transaction.atomic
def change_bench_session(
    *,
    actor: Actor,
    session: BenchSession,
    values: dict[str, Any],
    boards: Sequence[Board] | None = None,
    instruments: Sequence[Instrument] | None = None,
) -> BenchSession:
    """Change a session: its notes, the next step, or its end."""
    for board in boards or ():
        check_belongs("boards", board, session.project_id)
    store_changes(session, values, actor=actor)
    if boards is not None:
        session.boards.set(boards)
    if instruments is not None:
        session.instruments.set(instruments)
    return session
