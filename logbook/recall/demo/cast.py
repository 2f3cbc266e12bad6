"""Who and what has already appeared in the story, so that later entries can name it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from logbook.accounts.models import User
from logbook.bench.models import BenchSession, Measurement
from logbook.boards.models import Board
from logbook.boards.queries import board_named
from logbook.common.changes import Actor
from logbook.projects.models import Project, Revision, Subsystem
from logbook.projects.queries import revision_named, subsystem_named
from logbook.recall.demo.story import Entry

VIA = "demo"


@dataclass
class Cast:
    """People, projects, bench sessions and keyed readings by the names the story gives them."""

    people: dict[str, User] = field(default_factory=dict)
    projects: dict[str, Project] = field(default_factory=dict)
    sessions: dict[str, BenchSession] = field(default_factory=dict)
    readings: dict[str, Measurement] = field(default_factory=dict)

    def actor(self, entry: Entry) -> Actor:
        """Return who does what the entry says; the first people are entered by nobody."""
        return Actor(self.people.get(entry.by), VIA)

    def project(self, entry: Entry) -> Project:
        """Return the project the entry belongs to."""
        return self.projects[entry.project]

    def board(self, entry: Entry, serial: str = "") -> Board:
        """Return the board with ``serial``, or the one the entry names."""
        return board_named(self.project(entry), serial or entry.says["board"])

    def revision(self, entry: Entry, label: str) -> Revision:
        """Return a revision of the entry's project."""
        return revision_named(self.project(entry), label)

    def subsystems(self, entry: Entry, keys: Iterable[str]) -> list[Subsystem]:
        """Return subsystems of the entry's project."""
        return [subsystem_named(self.project(entry), key) for key in keys]
