"""Where each page of the copy lies, and how it is written."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from django.db.models import QuerySet
from django.template.loader import render_to_string

from logbook.bench.models import Measurement, Target
from logbook.bench.queries.lists import measurements_of
from logbook.boards.models import Board
from logbook.projects.models import Project
from logbook.recall.archive.format import COPY
from logbook.recall.archive.packing import Packer

# A page of one target or board shows so many readings; the table of measurements holds all of them.
SHOWN_READINGS = 500
Paths = dict[tuple[type[Any], int], str]


class Copy:
    """The pages of one project; ``paths`` is where the page of each object lies."""

    def __init__(self, project: Project, packer: Packer) -> None:
        self.project = project
        self.packer = packer
        self.revisions = list(project.revisions.select_related("parent"))
        self.boards = list(project.boards.select_related("revision"))
        self.targets = list(project.targets.select_related("subsystem").order_by("position", "key"))
        self.paths: Paths = {}
        self._place("revisions", self.revisions, lambda one: one.label)
        self._place("boards", self.boards, lambda one: one.serial)
        self._place("targets", self.targets, lambda one: one.key)

    def _place(self, folder: str, rows: Iterable[Any], name: Callable[[Any], str]) -> None:
        # Numbered, because a disk may take two names for one that differ in capitals only.
        for number, row in enumerate(rows, 1):
            row.page = f"{folder}/{number}-{name(row)}.html"
            self.paths[type(row), row.pk] = row.page

    def add(self, path: str, template: str, **values: Any) -> None:
        """Write one page."""
        context = {"project": self.project, "root": "../" * path.count("/"), **values}
        self.packer.add_text(f"{COPY}/{path}", render_to_string(f"archive/copy/{template}.html", context))

    def readings(self, **where: Any) -> QuerySet[Measurement]:
        """Return readings with what a page shows of them."""
        return measurements_of(self.project).filter(**where)[:SHOWN_READINGS]

    def shown(self, readings: Iterable[Measurement]) -> list[Measurement]:
        """Return readings, each with the pages of its board and target."""
        rows = list(readings)
        for row in rows:
            row.board_page = self.paths.get((Board, row.board_id), "")  # type: ignore[attr-defined]
            row.target_page = self.paths.get((Target, row.target_id or 0), "")  # type: ignore[attr-defined]
        return rows
