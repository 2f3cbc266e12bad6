"""The next bench hour of a revision: which checks buy most with the boards at hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from logbook.bench.models import Target, TargetIssue
from logbook.boards.choices import AT_HAND
from logbook.boards.models import Board
from logbook.boards.queries import BoardTimeline, board_timelines
from logbook.common.errors import InvalidInputError
from logbook.core.bench_plan import LeftOut, best_bench_hour
from logbook.planning.queries.ancestor_boards import ancestor_boards_of
from logbook.planning.queries.bench_checks import BenchChecks, checks_of
from logbook.planning.queries.standing import standing_of
from logbook.planning.queries.stress import ENOUGH_TO_RISK_ONE, targets_to_test_first
from logbook.planning.queries.target_risks import TargetRisks, target_risks_in
from logbook.projects.models import Revision

LONGEST = 1440


@dataclass(frozen=True)
class BenchPlanLine:
    """One check of the plan, what it buys in hours, and why it is there."""

    target: Target
    issue: TargetIssue
    board: Board
    point: str
    minutes: int
    waiting_minutes: int
    buys: float
    reason: str
    probability_basis: str


@dataclass(frozen=True)
class RevisionBenchPlan:
    """The plan in the order to do it. ``asked_minutes`` is the time there is, ``minutes`` what it takes.

    ``spared`` are those left out that would stress a board. ``reason`` says why there is no board to plan
    with, ``nearest`` the ancestor whose boards may help.
    """

    revision: Revision
    asked_minutes: int
    boards: tuple[Board, ...]
    minutes: int
    waiting_minutes: int
    buys: float
    lines: tuple[BenchPlanLine, ...]
    left_out: tuple[LeftOut, ...]
    spared: tuple[LeftOut, ...]
    reason: str = ""
    nearest: str = ""


@dataclass(frozen=True)
class AlreadyRead:
    """What a plan is made from: the rows of the revision's targets, its boards, and what sets these apart.

    ``tests_first`` are the targets somebody decided to test first, for which the only board may be stressed.
    """

    found: TargetRisks
    boards: Sequence[Board]
    timelines: Mapping[int, BoardTimeline]
    tests_first: frozenset[str]


def bench_plan_of(
    revision: Revision,
    *,
    minutes: int,
    serials: Sequence[str] = (),
    read: AlreadyRead | None = None,
) -> RevisionBenchPlan:
    """Return the checks that buy most in ``minutes`` on the boards named, or on all boards in use or new.

    Some twenty queries, whatever the number of boards and targets; none for what was ``read`` before.

    Raises
    ------
    InvalidInputError
        The minutes are none of a day, or a board is not of this revision.
    """
    if not 1 <= minutes <= LONGEST:
        raise InvalidInputError.of(
            "minutes", "this is no time at the bench", given=minutes, allowed=f"1 to {LONGEST}"
        )
    all_boards = read.boards if read else revision.boards.order_by("serial")
    known = {board.serial: board for board in all_boards}
    boards = _boards_at_hand(revision, known, serials)
    is_only_one = sum(board.state in AT_HAND for board in known.values()) < ENOUGH_TO_RISK_ONE
    read = read or _read(revision, boards, is_only_one=is_only_one)
    checks = checks_of(read.found, boards, read.timelines, read.tests_first if is_only_one else None)
    plan = best_bench_hour(checks.checks, minutes)
    by_serial = {board.serial: board for board in boards}
    lines = tuple(
        BenchPlanLine(
            target=checks.standing.targets[one.check.target],
            issue=checks.standing.issues[one.check.target],
            board=by_serial[one.check.board],
            point=one.check.point,
            minutes=one.check.minutes,
            waiting_minutes=one.check.waiting_minutes,
            buys=one.buys,
            reason=one.reason,
            probability_basis=checks.bases.get(one.check.target, "") if one.buys else "",
        )
        for one in plan.checks
    )
    nearest = "" if boards else _nearest(revision)
    left_out = _in_order(checks, plan.left_out)
    return RevisionBenchPlan(
        revision=revision,
        asked_minutes=minutes,
        boards=boards,
        minutes=plan.minutes,
        waiting_minutes=sum(line.waiting_minutes for line in lines),
        buys=plan.buys,
        lines=lines,
        left_out=left_out,
        spared=_spared(checks, left_out),
        reason="" if boards else _why_empty(revision, nearest),
        nearest=nearest,
    )


def _read(revision: Revision, boards: Sequence[Board], *, is_only_one: bool) -> AlreadyRead:
    tests_first = targets_to_test_first(revision) if is_only_one else frozenset()
    timelines = board_timelines(board.pk for board in boards)
    return AlreadyRead(target_risks_in(standing_of(revision)), boards, timelines, tests_first)


def _nearest(revision: Revision) -> str:
    found = ancestor_boards_of(revision)
    return found.label if found else ""


def _why_empty(revision: Revision, nearest: str) -> str:
    has_boards = revision.boards.exists()
    told = f"no board of revision {revision.label} " + ("is in use or new" if has_boards else "is there yet")
    return f"{told}; the nearest ancestor with boards at hand is {nearest}" if nearest else told


def _boards_at_hand(
    revision: Revision, boards: Mapping[str, Board], serials: Sequence[str]
) -> tuple[Board, ...]:
    if not serials:
        return tuple(board for board in boards.values() if board.state in AT_HAND)
    for serial in serials:
        if serial not in boards:
            raise InvalidInputError.of(
                "board",
                f"revision {revision.label} has no board {serial!r}",
                given=serial,
                allowed=", ".join(boards) or "none: the revision has no boards yet",
            )
    return tuple(boards[serial] for serial in dict.fromkeys(serials))


def _spared(checks: BenchChecks, left_out: Sequence[LeftOut]) -> tuple[LeftOut, ...]:
    targets = checks.standing.targets
    return tuple(one for one in left_out if one.board and targets[one.target].stresses_board)


def _in_order(found: BenchChecks, left_out: Sequence[LeftOut]) -> tuple[LeftOut, ...]:
    """Return what is left out in the order of the project's targets."""
    places = {key: place for place, key in enumerate(found.standing.targets)}
    together = [*found.closed, *left_out]
    return tuple(sorted(together, key=lambda one: (places[one.target], one.point, one.board)))
