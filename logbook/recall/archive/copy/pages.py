"""Every page of the copy, and where it lies."""

from __future__ import annotations

from django.template.loader import render_to_string

from logbook.bench.models import Target
from logbook.boards.models import Board
from logbook.boards.queries import connector_truths
from logbook.evidence.models import Evidence
from logbook.findings.models import Finding
from logbook.findings.queries import findings_of_board
from logbook.planning.queries import coverage_of
from logbook.projects.models import Project, Revision
from logbook.recall.archive.copy.coming_back import board_warnings, note_parts, warned, write_coming_back
from logbook.recall.archive.copy.places import Copy
from logbook.recall.archive.copy.tables import Table, table_pages
from logbook.recall.archive.format import COPY, evidence_name
from logbook.recall.archive.packing import Packer
from logbook.recall.archive.records.told_elsewhere import lessons_in
from logbook.recall.return_brief import ReturnBrief

SHOWN_BY_BROWSERS = ("image/png", "image/jpeg", "image/gif", "image/webp")


def write_copy(project: Project, packer: Packer) -> None:
    """Write the copy of a project that opens in any browser."""
    copy = Copy(project, packer)
    packer.add_text(f"{COPY}/style.css", render_to_string("archive/copy/style.css"))
    for revision in copy.revisions:
        _revision(copy, revision)
    _boards(copy)
    for target in copy.targets:
        readings = copy.shown(copy.readings(target=target))
        copy.add(target.page, "target", target=target, issues=target.issues.all(), readings=readings)  # type: ignore[attr-defined]
    _findings(copy)
    lessons = lessons_in(project).select_related("project").prefetch_related("events").order_by("key")
    copy.add("lessons.html", "lessons", lessons=lessons)
    _evidence(copy)
    _index(copy, _tables(copy), write_coming_back(copy))


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


def _boards(copy: Copy) -> None:
    """Write a page for each board; what is on connectors is read for all of them together."""
    warnings = board_warnings(copy)
    connectors = list(copy.project.connectors.select_related("project").order_by("key"))
    truths = connector_truths(copy.boards, connectors)
    for board in copy.boards:
        on_it = [one for one in truths if one.board.pk == board.pk]
        _board(copy, board, warning=warnings.get(board.pk), connectors=on_it)


def _board(copy: Copy, board: Board, **known: object) -> None:
    copy.add(
        board.page,  # type: ignore[attr-defined]
        "board",
        board=board,
        **known,
        findings=findings_of_board(board),
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


def _index(copy: Copy, tables: list[Table], brief: ReturnBrief) -> None:
    copy.add(
        "index.html",
        "index",
        dangers=warned(copy, brief.dangers),
        shelving=brief.shelving,
        note=note_parts(brief.shelving.note),
        states=copy.project.state_events.all(),
        tags=copy.project.characteristics.all(),
        revisions=copy.revisions,
        boards=copy.boards,
        targets=copy.targets,
        tables=tables,
    )
