"""The first steps on the bench, by the manners of the trade: look, ohms, volts, then one check.

Common practice: look before ohms, ohms before volts; first power from a supply that limits; one board kept
untouched as the reference.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from logbook.bench.models import Target
from logbook.boards.choices import BoardState, ReworkIntent
from logbook.boards.models import Board
from logbook.planning.queries import RiskRow
from logbook.projects.models import Revision
from logbook.recall.return_brief.boards import BoardThen

NEVER_READ = datetime.min.replace(tzinfo=UTC)
# A failing or marginal target waits for its fix, a blocked one for what it needs.
WORTH_A_READING = frozenset({"never tried", "partly verified", "seen working", "stale"})


@dataclass(frozen=True)
class FirstStep:
    """One step in the order to do it, what to mind, and the letters of its cautions."""

    says: str
    mind: str
    cautions: str
    board: Board | None = None
    target: Target | None = None


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
) -> tuple[FirstStep, ...]:
    """Return look, ohms and power on the board to take, then the check with most at stake."""
    taken = board_to_take(boards, revision)
    if revision is None or taken is None:
        return (FirstStep("Find a board that may be worked on: none is at hand on record.", "", "S"),)
    return (
        _look(taken),
        _ohms(taken, boards),
        _power(revision, taken),
        *_check(taken, risks),
    )


def _look(taken: BoardThen) -> FirstStep:
    board = taken.board
    differs = [f"{one.rework.key} {one.rework.what}" for one in taken.reworks]
    differs += [f"{one.key} {one.position}, not as designed" for one in taken.off_design]
    place = taken.event.location or "its place is not on record"
    says = f"Look, nothing connected: take board {board.serial} (revision {board.revision}, {place})."
    says += f" It must show: {'; '.join(differs)}." if differs else " By the record it has no rework."
    half = [one.rework.key for one in taken.reworks if one.is_half_done]
    says += f" Not re-checked after it was done: {', '.join(half)}." if half else ""
    mind = "Strap on. Look for corrosion, swollen or leaking parts and a cell left in."
    return FirstStep(says, mind, "S", board)


def _ohms(taken: BoardThen, boards: Sequence[BoardThen]) -> FirstStep:
    sisters = [
        f"{one.board.serial}, {one.event.location or 'its place is not on record'}"
        for one in boards
        if one.board.revision_id == taken.board.revision_id
        and one.board.pk != taken.board.pk
        and one.is_at_hand
        and not any(done.rework.intent == ReworkIntent.REPAIR for done in one.reworks)
    ]
    says = "Ohms, nothing connected: the input both ways round, then each rail to 0 V"
    says += f", beside a sister board ({'; '.join(sisters)})." if sisters else "."
    return FirstStep(
        says, "Charge stays after power-off: discharge, then measure volts first.", "C", taken.board
    )


def _power(revision: Revision, taken: BoardThen) -> FirstStep:
    if not revision.current_limit:
        says = f"Do not power it yet: no current limit is on record for revision {revision}."
        return FirstStep(says, "Work one out from the parts first and write it down.", "P", taken.board)
    facts = [revision.power_input, revision.polarity, f"limit {revision.current_limit}"]
    says = f"Power it from a supply that limits: {'; '.join(fact for fact in facts if fact)}."
    says += f" Expect {revision.idle_current} idle." if revision.idle_current else ""
    mind = "If it limits, stop and find the heat; do not turn it up."
    mind += f" Never connect: {revision.never_connect}" if revision.never_connect else ""
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
