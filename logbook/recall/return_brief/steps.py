"""The first steps on the bench: at most three, from the note of the last day and from the record.

Common practice: look before ohms, ohms before volts; first power from a supply that limits; one board kept
untouched as the reference. What was written down by hand goes before a check the site would choose.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from logbook.bench.models import Target
from logbook.boards.choices import BoardState, ReworkIntent
from logbook.boards.models import Board
from logbook.planning.queries import RiskRow
from logbook.projects.models import Revision
from logbook.recall.return_brief.boards import BoardThen

NEVER_READ = datetime.min.replace(tzinfo=UTC)
MOST_STEPS = 3
# A failing or marginal target waits for its fix, a blocked one for what it needs.
WORTH_A_READING = frozenset({"never tried", "partly verified", "seen working", "stale"})
FIRST_OF_ALL = "Before it: look with nothing connected, then ohms to 0 V, then a supply that limits"
KEY = re.compile(r"[\w-]+")


@dataclass(frozen=True)
class FirstStep:
    """One step in the order to do it, what to mind, and the letters of its cautions.

    ``is_written`` says that a person wrote it into the note of the last day.
    """

    says: str
    mind: str
    cautions: str
    board: Board | None = None
    target: Target | None = None
    is_written: bool = False


def board_to_take(boards: Iterable[BoardThen], revision: Revision | None) -> BoardThen | None:
    """Return the board to begin on: of the revision, at hand, not the reference, the one read last."""
    fit = [
        one
        for one in boards
        if revision
        and one.board.revision_id == revision.pk
        and one.is_at_hand
        and one.state != BoardState.REFERENCE
    ]
    return max(fit, key=lambda one: one.last_read or NEVER_READ, default=None)


def first_steps_of(
    revision: Revision | None,
    boards: Sequence[BoardThen],
    risks: Sequence[RiskRow],
    targets: Mapping[str, Target],
    written: Sequence[str],
) -> tuple[FirstStep, ...]:
    """Return what makes a start safe, then what was written down, else the check with most at stake."""
    taken = board_to_take(boards, revision)
    by_hand = [_of_note(text, boards, targets) for text in written[:MOST_STEPS]]
    if revision is None or taken is None:
        return (_find_one(revision, boards), *by_hand)[:MOST_STEPS]
    safe = (_look(taken, boards), _power(revision, taken))
    if not by_hand:
        return (*safe, *_check(taken, risks))
    shown = safe[: MOST_STEPS - len(by_hand)]
    if len(shown) < len(safe):
        limit = (
            f": {revision.current_limit}" if revision.current_limit else ", set by what the parts can take"
        )
        first = by_hand[0]
        by_hand[0] = replace(first, mind=f"{FIRST_OF_ALL}{limit}. {first.mind}".strip(), cautions="SCP")
    return (*shown, *by_hand)


def _find_one(revision: Revision | None, boards: Sequence[BoardThen]) -> FirstStep:
    gone = [f"{one.board.serial} is {one.state}" for one in boards if one.board.revision == revision]
    told = f" ({'; '.join(gone)})" if gone else ""
    return FirstStep(f"Find a board that may be worked on: none is at hand on record{told}.", "", "S")


def _of_note(text: str, boards: Sequence[BoardThen], targets: Mapping[str, Target]) -> FirstStep:
    """Return a step as written, with the first board and target it names, and what speaks against them."""
    words = KEY.findall(text)
    known = {one.board.serial: one for one in boards}
    named = [known[word] for word in words if word in known]
    target = next((targets[word] for word in words if word in targets), None)
    mind = [f"{one.board.serial} is {one.state}." for one in named if not one.is_at_hand]
    if target is not None and target.stresses_board:
        mind.append(f"{target.key} stresses the board: do it last.")
    return FirstStep(
        text,
        " ".join(mind),
        target.cautions if target else "",
        named[0].board if named else None,
        target,
        is_written=True,
    )


def _look(taken: BoardThen, boards: Sequence[BoardThen]) -> FirstStep:
    board = taken.board
    differs = [f"{one.rework.key} {one.rework.what}" for one in taken.reworks]
    differs += [f"{one.key} {one.position}, not as designed" for one in taken.off_design]
    place = taken.event.location or "its place is not on record"
    says = f"Look, nothing connected: take board {board.serial} (revision {board.revision}, {place})."
    says += f" It must show: {'; '.join(differs)}." if differs else " By the record it has no rework."
    half = [one.rework.key for one in taken.reworks if one.is_half_done]
    says += f" Not re-checked after it was done: {', '.join(half)}." if half else ""
    says += f" Then ohms: the input both ways round, each rail to 0 V{_beside(taken, boards)}."
    mind = "Strap on. Look for corrosion, swollen or leaking parts and a cell left in. Charge stays after"
    mind += " power-off: discharge, then measure volts before ohms."
    return FirstStep(says, mind, "SC", board)


def _beside(taken: BoardThen, boards: Sequence[BoardThen]) -> str:
    sisters = [
        f"{one.board.serial}, {one.event.location or 'its place is not on record'}"
        for one in sorted(boards, key=lambda one: one.state != BoardState.REFERENCE)
        if one.board.revision_id == taken.board.revision_id
        and one.board.pk != taken.board.pk
        and one.is_at_hand
        and not any(done.rework.intent == ReworkIntent.REPAIR for done in one.reworks)
    ]
    return f", beside a sister board ({'; '.join(sisters)})" if sisters else ""


def _power(revision: Revision, taken: BoardThen) -> FirstStep:
    if not revision.current_limit:
        says = f"Do not power it yet: no current limit is on record for revision {revision}."
        return FirstStep(says, "Work one out from the parts first and write it down.", "P", taken.board)
    facts = [revision.power_input, revision.polarity, f"limit {revision.current_limit}"]
    says = f"Power it from a supply that limits: {'; '.join(fact for fact in facts if fact)}."
    says += f" Expect {revision.idle_current} idle." if revision.idle_current else ""
    mind = "Connect nothing else yet." if not revision.never_connect else ""
    mind += f"Never connect: {revision.never_connect}" if revision.never_connect else ""
    return FirstStep(says, mind, "P", taken.board)


def _check(taken: BoardThen, risks: Sequence[RiskRow]) -> Iterable[FirstStep]:
    """Yield the open target with most at stake; never one whose check stresses the board."""
    for row in sorted(risks, key=lambda row: -row.weight):
        if row.target is not None and row.kind in WORTH_A_READING and not row.target.stresses_board:
            yield _step_of(row.target, taken.board, row)
            return


def _step_of(target: Target, board: Board, row: RiskRow) -> FirstStep:
    says = f"Then {target.key}, {target.name}, on board {board.serial}: {row.kind}, {row.reason}."
    mind = "One change at a time; write the reading down before the next touch."
    return FirstStep(says, mind, target.cautions, board, target)
