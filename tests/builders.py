"""Builds small invented projects through the site's own commands, for tests of every layer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from logbook.accounts.models import User
from logbook.bench.commands import ReadingInput, add_target, record_reading
from logbook.bench.commands.targets import Asked
from logbook.bench.models import Measurement, Target
from logbook.boards.commands import add_board
from logbook.boards.models import Board
from logbook.common import clock
from logbook.common.changes import Actor
from logbook.projects.commands import add_revision, add_subsystem, create_project, set_member
from logbook.projects.models import Project, Revision, Subsystem


@dataclass
class Bench:
    """A project "tern" with a power subsystem RLD, revision A, board 0001 and its people."""

    project: Project
    subsystem: Subsystem
    revision: Revision
    board: Board
    owner: User
    editor: User
    reader: User
    stranger: User
    actor: Actor

    def target(
        self,
        key: str = "RLD-2",
        limits: str = "3.234..3.366 V",
        *,
        needs: Sequence[str] = (),
        values: dict[str, Any] | None = None,
        subsystem: Subsystem | None = None,
        **asked: Any,
    ) -> Target:
        """Add a target."""
        return add_target(
            actor=self.actor,
            project=self.project,
            subsystem=subsystem or self.subsystem,
            key=key,
            name=f"invented target {key}",
            asked=Asked(limits=limits, **asked),
            prerequisites=needs,
            values=values,
        )

    def extra_board(self, serial: str, revision: Revision | None = None) -> Board:
        """Add another board of the revision."""
        return add_board(
            actor=self.actor,
            project=self.project,
            revision=revision or self.revision,
            serial=serial,
            state="in use",
        )

    def read(self, value: Any, target: str = "RLD-2", *, board: str = "0001", **given: Any) -> Measurement:
        """Record a reading and return it."""
        item = ReadingInput(project=self.project.slug, board=board, target=target, value=value, **given)
        measurement = record_reading(actor=self.actor, item=item).measurement
        assert measurement is not None
        return measurement


def build_bench(slug: str = "tern") -> Bench:
    """Return a small project with an owner, an editor, a reader and a stranger."""
    people = {
        name: User.objects.create_user(f"{name}-{slug}", password="a long test password")
        for name in ("owner", "editor", "reader", "stranger")
    }
    actor = Actor(people["owner"], "command")
    project = create_project(actor=actor, owner=people["owner"], slug=slug, name=slug.title())
    set_member(actor=actor, project=project, user=people["editor"], role="editor")
    set_member(actor=actor, project=project, user=people["reader"], role="reader")
    subsystem = add_subsystem(actor=actor, project=project, key="RLD", name="digital rails", kind="power")
    # Recorded before any day a test asks about.
    with clock.standing_at(datetime(2000, 1, 1, tzinfo=UTC)):
        revision = add_revision(
            actor=actor,
            project=project,
            label="A",
            values={"power_input": "9 to 16 V", "current_limit": "150 mA", "never_connect": "mains"},
        )
    board = add_board(actor=actor, project=project, revision=revision, serial="0001", state="in use")
    return Bench(project, subsystem, revision, board, actor=actor, **people)
