"""What would hurt a person or a board if it were simply plugged in."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from logbook.projects.models import ShelvingNote
from logbook.recall.return_brief.boards import BoardThen
from logbook.recall.return_brief.connectors import ConnectorThen
from logbook.recall.return_brief.lines import Revisions
from logbook.recall.return_brief.open_ends import OpenEnds


@dataclass(frozen=True)
class Danger:
    """One warning; ``kind`` and ``subject`` name what it is about, and so where its proof stands."""

    kind: str
    subject: str
    says: str


def dangers_of(
    note: ShelvingNote | None,
    revisions: Revisions,
    boards: Sequence[BoardThen],
    connectors: Sequence[ConnectorThen],
    ends: OpenEnds,
) -> tuple[Danger, ...]:
    """Return every warning on record, what was written by hand first."""
    return (
        *_of_note(note),
        *_never_connect(revisions),
        *_of_connectors(connectors),
        *_of_boards(boards),
        *(Danger("finding", one.finding.key, f"{one.finding.title} ({one.state})") for one in ends.worst),
    )


def _of_note(note: ShelvingNote | None) -> Iterator[Danger]:
    if note and note.unsafe:
        yield Danger("note", "", note.unsafe)
    if note and note.cells:
        yield Danger("note", "", f"Cells: {note.cells}")


def _never_connect(revisions: Revisions) -> Iterator[Danger]:
    same: dict[str, list[str]] = defaultdict(list)
    for line in revisions.lines:
        if line.boards and line.revision.never_connect:
            same[line.revision.never_connect].append(line.revision.label)
    for text, labels in same.items():
        yield Danger("revision", labels[-1], f"Never connect to revision {', '.join(labels)}: {text}")


def _of_connectors(connectors: Sequence[ConnectorThen]) -> Iterator[Danger]:
    for one in connectors:
        if one.connector.caution:
            yield Danger("connector", one.connector.key, one.connector.caution)
        for group in one.groups:
            serials = ", ".join(board.serial for board in group.boards)
            off = [option.says for option in group.first.options if not option.is_as_designed]
            for text in (*off, *group.first.warnings):
                yield Danger("connector", one.connector.key, f"On {serials}: {text}")


def _of_boards(boards: Sequence[BoardThen]) -> Iterator[Danger]:
    for one in boards:
        if not one.is_at_hand:
            note = f": {one.event.note}" if one.event.note else ""
            yield Danger("board", one.board.serial, f"{one.state}{note}")
