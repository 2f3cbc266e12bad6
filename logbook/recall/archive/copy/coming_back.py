"""What somebody needs first who opens the copy after years: the return brief, warnings and connectors."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from logbook.boards.queries import STATE_WARNINGS, state_notes_of
from logbook.projects.models import NOTE_TEXTS, ShelvingNote
from logbook.recall.archive.copy.places import Copy
from logbook.recall.return_brief import ReturnBrief, return_brief_of
from logbook.recall.return_brief.dangers import Danger

BRIEF, CONNECTORS, FINDINGS = "return-brief.html", "connectors.html", "findings.html"


@dataclass(frozen=True)
class Warned:
    """A warning of the brief, with the page of what it is about; empty where it has none."""

    says: str
    subject: str
    page: str


@dataclass(frozen=True)
class BoardWarning:
    """What a person must know before touching a board."""

    says: str
    note: str


def write_coming_back(copy: Copy) -> ReturnBrief:
    """Write the return brief and the connectors, and return the brief for the overview."""
    brief = return_brief_of(copy.project)
    said = note_parts(brief.shelving.note)
    copy.add(BRIEF, "brief", brief=brief, dangers=warned(copy, brief.dangers), note=said)
    tables = copy.project.connectors.order_by("key").prefetch_related("pins__revision", "pins__position")
    drawn = {one.pk: [pin for pin in one.pins.all() if pin.replaced_at is None] for one in tables}
    connectors = [(one, drawn.get(one.connector.pk, [])) for one in brief.connectors]
    copy.add(CONNECTORS, "connectors", connectors=connectors)
    return brief


def note_parts(note: ShelvingNote | None) -> list[tuple[str, str]]:
    """Return what a shelving note says, part by part."""
    if note is None:
        return []
    return [(name.replace("_", " "), text) for name in NOTE_TEXTS if (text := getattr(note, name))]


def warned(copy: Copy, dangers: Sequence[Danger]) -> list[Warned]:
    """Return the warnings with the pages they lead to."""
    pages: dict[str, dict[str, str]] = {
        "board": {one.serial: one.page for one in copy.boards},  # type: ignore[attr-defined]
        "target": {one.key: one.page for one in copy.targets},  # type: ignore[attr-defined]
        "revision": {one.label: one.page for one in copy.revisions},  # type: ignore[attr-defined]
    }
    one_page = {"connector": CONNECTORS, "finding": FINDINGS}

    def page(danger: Danger) -> str:
        if danger.kind in one_page:
            return f"{one_page[danger.kind]}#{danger.subject}"
        return pages.get(danger.kind, {}).get(danger.subject, "")

    return [Warned(one.says, one.subject, page(one)) for one in dangers]


def board_warnings(copy: Copy) -> Mapping[int, BoardWarning]:
    """Return the warnings of boards whose state asks for one. One query."""
    notes = state_notes_of(copy.boards)
    return {
        board.pk: BoardWarning(STATE_WARNINGS[board.state], notes[board.pk])
        for board in copy.boards
        if board.state in STATE_WARNINGS
    }
