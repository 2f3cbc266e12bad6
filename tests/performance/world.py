"""A large invented project: 300 targets in chains, 20 boards in 5 revisions, any number of readings."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.db import connection

from logbook.accounts.models import User
from logbook.bench.commands import ReadingInput, add_target
from logbook.bench.commands.targets import Asked
from logbook.bench.models import Measurement
from logbook.boards.commands import add_board
from logbook.common.changes import Actor
from logbook.projects.commands import add_revision, add_subsystem, create_project
from logbook.projects.models import Project, Revision

KINDS = ("power", "clocks", "memory", "audio path", "serial link", "mechanical")
START = datetime(2020, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class World:
    """The project and what its readings may name."""

    project: Project
    revisions: list[Revision]
    targets: list[str]
    boards: list[str]
    actor: Actor
    user: User

    def readings(self, count: int, *, seed: int) -> list[ReadingInput]:
        """Return readings at random cells, in time order; one in fifty is out of limits.

        Lists of a higher ``seed`` were taken later.
        """
        rng = random.Random(seed)
        return [
            ReadingInput(
                project=self.project.slug,
                board=rng.choice(self.boards),
                target=rng.choice(self.targets),
                value="3.9" if rng.random() < 0.02 else f"{rng.gauss(3.3, 0.01):.4f}",
                unit="V",
                expanded_uncertainty="0.002",
                taken_at=START + timedelta(seconds=seed * 40_000_000 // 1_000 + number),
                key=f"{seed}-{number}",
            )
            for number in range(count)
        ]


def build_world(slug: str, targets: int = 300, boards: int = 20, revisions: int = 5) -> World:
    """Build a project with an owner of its own through the site's own commands."""
    user = User.objects.create_user(f"owner of {slug}", password="only for measuring")
    actor = Actor(user, "command")
    project = create_project(actor=actor, owner=user, slug=slug, name=slug.capitalize())
    subsystems = [
        add_subsystem(actor=actor, project=project, key=f"S{n}", name=kind, kind=kind)
        for n, kind in enumerate(KINDS)
    ]
    line: list[Revision] = []
    for label in "ABCDEFGH"[:revisions]:
        parent = line[-1] if line else None
        line.append(add_revision(actor=actor, project=project, label=label, parent=parent))
    serials = [f"{n:04}" for n in range(1, boards + 1)]
    for number, serial in enumerate(serials):
        revision = line[number % revisions]
        add_board(actor=actor, project=project, revision=revision, serial=serial, state="in use")
    keys = [f"T-{n}" for n in range(targets)]
    for number, key in enumerate(keys):
        add_target(
            actor=actor,
            project=project,
            subsystem=subsystems[number % len(subsystems)],
            key=key,
            name=f"invented rail {number}",
            asked=Asked(limits="3.234..3.366 V"),
            prerequisites=[keys[number // 4]] if number >= 4 else [],
        )
    return World(project, line, keys, serials, actor, user)


def add_history(count: int) -> None:
    """Add copies of readings, older than all there are, so that no current result speaks of them.

    A page that read the history would take as much longer as there are more of them.
    """
    with connection.cursor() as cursor:
        cursor.execute("SELECT max(id) FROM bench_measurement")
        (last,) = cursor.fetchone()
        names = [str(field.column) for field in Measurement._meta.local_fields if not field.primary_key]
        taken = {"key": "key || %s", "taken_at": "%s"}
        columns = ", ".join(f'"{name}"' for name in names)
        values = ", ".join(taken.get(name, f'"{name}"') for name in names)
        statement = f"INSERT INTO bench_measurement ({columns}) SELECT {values} FROM bench_measurement"
        statement += " WHERE id <= %s ORDER BY id LIMIT %s"
        added = 0
        while added < count:
            before = START - timedelta(seconds=1 + added)
            moment = Measurement._meta.get_field("taken_at").get_db_prep_value(before, connection)
            given = {"key": f"-{added}", "taken_at": moment}
            cursor.execute(
                statement, [*(given[name] for name in names if name in given), last, count - added]
            )
            added += cursor.rowcount
        if connection.vendor == "postgresql":
            cursor.execute("ANALYZE bench_measurement")
