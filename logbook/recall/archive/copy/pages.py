"""Every page of the copy, and where it lies."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from django.db.models import QuerySet
from django.template.loader import render_to_string

from logbook.bench.models import Measurement, Target
from logbook.bench.queries.lists import measurements_of
from logbook.boards.models import Board
from logbook.evidence.models import Evidence
from logbook.findings.models import Finding
from logbook.planning.queries import coverage_of
from logbook.projects.models import Project, Revision
from logbook.recall.archive.copy.tables import Table, table_pages
from logbook.recall.archive.format import COPY, evidence_name
from logbook.recall.archive.packing import Packer
from logbook.recall.archive.records.told_elsewhere import lessons_in

# A page of one target or board shows so many readings; the table of measurements holds all of them.
SHOWN_READINGS = 500
SHOWN_BY_BROWSERS = ("image/png", "image/jpeg", "image/gif", "image/webp")
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


def write_copy(project: Project, packer: Packer) -> None:
    """Write the copy of a project that opens in any browser."""
    copy = Copy(project, packer)
    packer.add_text(f"{COPY}/style.css", render_to_string("archive/copy/style.css"))
    for revision in copy.revisions:
        _revision(copy, revision)
    for board in copy.boards:
        _board(copy, board)
    for target in copy.targets:
        readings = copy.shown(copy.readings(target=target))
        copy.add(target.page, "target", target=target, issues=target.issues.all(), readings=readings)  # type: ignore[attr-defined]
    _findings(copy)
    lessons = lessons_in(project).select_related("project").prefetch_related("events").order_by("key")
    copy.add("lessons.html", "lessons", lessons=lessons)
    _evidence(copy)
    _index(copy, _tables(copy))


def _revision(copy: Copy, revision: Revision) -> None:
    coverage = coverage_of(revision)
    for row in coverage.rows:
        row.target.page = copy.paths[Target, row.target.pk]  # type: ignore[attr-defined]
    changes = revision.changes.prefetch_related("subsystems")
    boards = [board for board in copy.boards if board.revision_id == revision.pk]
    copy.add(
        revision.page,  # type: ignore[attr-defined]
        "revision",
        revision=revision,
        coverage=coverage,
        changes=changes,
        boards=boards,
    )


def _board(copy: Copy, board: Board) -> None:
    copy.add(
        board.page,  # type: ignore[attr-defined]
        "board",
        board=board,
        events=board.events.all(),
        reworks=board.reworks.prefetch_related("paths", "subsystems"),
        settings=board.option_settings.select_related("option", "position"),
        readings=copy.shown(copy.readings(board=board)),
    )


def _findings(copy: Copy) -> None:
    findings = (
        Finding.objects.filter(project=copy.project)
        .select_related("subsystem", "found_on")
        .prefetch_related("events", "targets", "evidence_links__evidence")
    )
    copy.add("findings.html", "findings", findings=findings)


def _evidence(copy: Copy) -> None:
    files = list(
        Evidence.objects.filter(project=copy.project).select_related("board", "revision").order_by("pk")
    )
    for file in files:
        file.member = evidence_name(file.sha256, file.media_type)  # type: ignore[attr-defined]
        file.is_seen = file.media_type in SHOWN_BY_BROWSERS  # type: ignore[attr-defined]
    copy.add("evidence.html", "evidence", files=files)


def _tables(copy: Copy) -> list[Table]:
    """Write every table and return the first page of each."""
    firsts = []
    for path, table in table_pages(copy.project):
        copy.add(path, "table", table=table)
        firsts += [table] if table.page == 1 else []
    return firsts


def _index(copy: Copy, tables: list[Table]) -> None:
    copy.add(
        "index.html",
        "index",
        states=copy.project.state_events.all(),
        tags=copy.project.characteristics.all(),
        revisions=copy.revisions,
        boards=copy.boards,
        targets=copy.targets,
        tables=tables,
    )
