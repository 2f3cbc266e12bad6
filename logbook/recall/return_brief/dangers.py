"""What would hurt a person or a board if it were simply plugged in."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from logbook.core.state import State
from logbook.evidence.notes import items_of
from logbook.planning.queries.bench_lines import FAILING
from logbook.planning.queries.open_findings import KnownFinding
from logbook.planning.queries.standing import Standing
from logbook.projects.choices import SubsystemKind
from logbook.projects.models import ShelvingNote
from logbook.recall.return_brief.boards import BoardThen
from logbook.recall.return_brief.connectors import ConnectorThen
from logbook.recall.return_brief.lines import Revisions
from logbook.recall.return_brief.open_ends import OpenEnds

GRAVE = frozenset({"S1", "S2"})
# The words of MIL-STD-882E for harm to people that must not be met unawares.
GRAVE_HARM = frozenset({"catastrophic", "critical"})
UNPOWERED = re.compile(
    r"\b(?:do not|don't|never|not to be|must not be) (?:re-?)?(?:power|switch(?:ed)? on)", re.IGNORECASE
)


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
    standing: Standing | None,
    taken: BoardThen | None,
) -> tuple[Danger, ...]:
    """Return every warning on record, each once, what was written by hand first.

    Of findings and failing targets those at S1 or S2 that concern power or the board to take, and every
    finding at S1 or with grave harm to people.
    """
    known = (
        *_of_boards(boards),
        *_never_connect(revisions),
        *_of_connectors(connectors),
        *(_of_targets(standing, taken) if standing else ()),
        *_of_findings(ends, taken),
    )
    return (*_of_note(note, known), *known)


def _of_note(note: ShelvingNote | None, known: Sequence[Danger]) -> Iterator[Danger]:
    """Yield what a person wrote, line by line, without what the record says in the same words."""
    if note is None:
        return
    said = {f"{one.subject}: {one.says}" for one in known} | {one.says for one in known}
    said = {" ".join(one.split()) for text in said for one in items_of(text)}
    for line in dict.fromkeys(items_of(note.unsafe)):
        if " ".join(line.split()) not in said:
            yield Danger("note", "", line)
    for line in dict.fromkeys(items_of(note.cells)):
        yield Danger("note", "", f"Cells: {line}")


def _of_boards(boards: Sequence[BoardThen]) -> Iterator[Danger]:
    for one in boards:
        told = (one.event.note, one.board.note, one.board.last_powered)
        warns = next((text for text in told if UNPOWERED.search(text)), "")
        if one.is_at_hand and warns:
            yield Danger("board", one.board.serial, f"{one.state}, and the record says: {_line(warns)}")
        elif not one.is_at_hand:
            note = f": {_line(one.event.note or warns)}" if one.event.note or warns else ""
            yield Danger("board", one.board.serial, f"{one.state}{note}")


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
            for text in dict.fromkeys((*off, *group.first.warnings)):
                yield Danger("connector", one.connector.key, f"On {serials}: {text}")


def _of_targets(standing: Standing, taken: BoardThen | None) -> Iterator[Danger]:
    """Yield what fails at S1 or S2 where a board gets its power, or on the board to take."""
    serial = taken.board.serial if taken else ""
    for key, target in standing.targets.items():
        if target.severity not in GRAVE and target.harm not in GRAVE_HARM:
            continue
        state = standing.states[key]
        fails_here = any(
            cell.board == serial and cell.found_verdict in FAILING for cell in standing.cells.get(key, ())
        )
        is_power = target.subsystem.kind == SubsystemKind.POWER
        if is_power and state.state == State.FAILING:
            yield Danger("target", key, f"{target.name} fails ({target.severity}): {state.reason}")
        elif fails_here:
            yield Danger("target", key, f"{target.name} fails on board {serial} ({target.severity})")


def _of_findings(ends: OpenEnds, taken: BoardThen | None) -> Iterator[Danger]:
    for one in (*ends.undecided, *ends.decided):
        is_grave = one.finding.severity == "S1" or one.finding.harm in GRAVE_HARM
        if is_grave or (one in ends.undecided and _is_near(one, taken)):
            yield Danger(
                "finding", one.finding.key, f"{one.finding.title} ({one.finding.severity}, {one.state})"
            )


def _is_near(one: KnownFinding, taken: BoardThen | None) -> bool:
    """Say whether it may do damage at first power: at S2, of a supply or found on the board to take."""
    row = one.finding
    here = taken is not None and row.found_on_id == taken.board.pk
    return row.severity in GRAVE and (row.subsystem.kind == SubsystemKind.POWER or here)


def _line(text: str) -> str:
    return "; ".join(items_of(text))
