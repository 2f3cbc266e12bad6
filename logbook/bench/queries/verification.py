"""Compares everything that is kept with a recomputation from the history.

Nothing kept is used on the way: failing spans come from the readings, cells from the spans, trials
from the cells. One board at a time, so that a large site needs little memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from django.db.models import Q

from logbook.bench.models import CurrentResult, FailingSpan, Measurement, TargetIssue, Trial
from logbook.bench.queries.budget import uncertainty_discrepancy
from logbook.bench.queries.evaluation import (
    FAILING,
    Cell,
    Derived,
    Evaluation,
    Pair,
    evaluation_of,
    standing_readings,
)
from logbook.bench.translate import base_value_of, judgement_of, limits_of
from logbook.boards.models import Board
from logbook.boards.queries import Stretch
from logbook.common.verification import Discrepancy, LookedAt
from logbook.core.errors import CoreError
from logbook.core.quantities import canonical_text
from logbook.projects.models import Project

Firsts = dict[tuple[int, int], tuple[Measurement, str]]
SPAN, CELL, TRIAL, LIMITS = "failing span", "current result", "trial", "limits of an issue"
VERDICT, UNCERTAINTY = "verdict", "uncertainty"


def discrepancies_of(project: Project, looked_at: LookedAt | None = None) -> Iterator[Discrepancy]:
    """Yield every difference between what is kept of a project and its history; count what was compared."""
    counts = LookedAt() if looked_at is None else looked_at
    boards = list(Board.objects.filter(project=project).order_by("pk"))
    firsts: Firsts = {}
    for board in boards:
        evaluation = evaluation_of(project, [board.pk])
        history = standing_readings(Q(board=board))
        yield from _spans(evaluation, board, history, counts)
        yield from _cells(evaluation, board, history, firsts, counts)
    yield from _trials(project, firsts, counts)
    yield from _limits(project, counts)
    yield from _verdicts(project, counts)


def _spans(
    evaluation: Evaluation, board: Board, history: list[Measurement], counts: LookedAt
) -> Iterator[Discrepancy]:
    """Compare the failing spans of a board, and go on with the recomputed ones."""
    by_target: dict[int, list[Measurement]] = defaultdict(list)
    for reading in history:
        by_target[reading.target_id or 0].append(reading)
    needed = {target for needs in evaluation.needs.values() for target in needs}
    kept: dict[int, list[Stretch]] = defaultdict(list)
    for row in FailingSpan.objects.filter(board=board, target_id__in=needed).order_by("begins"):
        kept[row.target_id].append(Stretch(row.begins, row.ends, ""))
    evaluation.spans.clear()
    for target_id in sorted(needed):
        stretches = evaluation.failing_stretches(by_target[target_id])
        evaluation.spans[Pair(board.pk, target_id)] = stretches
        counts[SPAN] += len(stretches)
        if stretches != kept[target_id]:
            where = f"{evaluation.targets[target_id].key} on {board.serial}"
            yield Discrepancy(SPAN, where, str(kept[target_id]), str(stretches))


def _cells(
    evaluation: Evaluation, board: Board, history: list[Measurement], firsts: Firsts, counts: LookedAt
) -> Iterator[Discrepancy]:
    readings: dict[Cell, list[Measurement]] = defaultdict(list)
    for reading in history:
        readings[Cell(reading.target_id or 0, board.pk, reading.point)].append(reading)
    kept = {
        Cell(row.target_id, row.board_id, row.point): row for row in CurrentResult.objects.filter(board=board)
    }
    for cell in sorted(readings.keys() | kept.keys()):
        counts[CELL] += 1
        derived = evaluation.derive(readings.get(cell, []))
        row = kept.get(cell)
        before, after = _kept_text(row), _derived_text(derived)
        if before != after:
            where = f"{evaluation.targets[cell.target_id].key} {cell.point} on {board.serial}"
            yield Discrepancy(CELL, where, before, after)
        if row is not None and (row.project_id, row.revision_id) != (board.project_id, board.revision_id):
            yield Discrepancy(CELL, board.serial, "another revision", "the board's own")
        if derived is not None and derived.first is not None:
            _keep_earliest(firsts, (cell.target_id, board.revision_id), derived.first, derived.first_verdict)


def _keep_earliest(firsts: Firsts, place: tuple[int, int], reading: Measurement, verdict: str) -> None:
    def order(one: Measurement) -> tuple[object, ...]:
        return (one.taken_at, one.recorded_at, one.pk)

    if place not in firsts or order(reading) < order(firsts[place][0]):
        firsts[place] = (reading, verdict)


def _kept_text(row: CurrentResult | None) -> str:
    if row is None:
        return "nothing"
    return (
        f"found {row.found_id} {row.found_verdict} {row.found_undecidable} ({row.not_counted}), "
        f"designed {row.designed_id} {row.designed_verdict} {row.designed_undecidable}, "
        f"first {row.first_id} {row.first_verdict}"
    )


def _derived_text(derived: Derived | None) -> str:
    if derived is None:
        return "nothing"
    designed = derived.designed.pk if derived.designed else None
    first = derived.first.pk if derived.first else None
    return (
        f"found {derived.found.pk} {derived.found_verdict} {derived.found_undecidable} "
        f"({derived.not_counted}), "
        f"designed {designed} {derived.designed_verdict} {derived.designed_undecidable}, "
        f"first {first} {derived.first_verdict}"
    )


def _trials(project: Project, firsts: Firsts, counts: LookedAt) -> Iterator[Discrepancy]:
    kept = {
        (row.target_id, row.revision_id): (row.measurement_id, row.failed)
        for row in Trial.objects.filter(target__project=project)
    }
    derived = {place: (reading.pk, word in FAILING) for place, (reading, word) in firsts.items()}
    for place in sorted(kept.keys() | derived.keys()):
        counts[TRIAL] += 1
        if kept.get(place) != derived.get(place):
            where = f"target {place[0]} on revision {place[1]}"
            yield Discrepancy(TRIAL, where, str(kept.get(place)), str(derived.get(place)))


def _limits(project: Project, counts: LookedAt) -> Iterator[Discrepancy]:
    """Read the limits of every issue anew from their text."""
    issues = TargetIssue.objects.filter(target__project=project).exclude(limits_text="")
    for issue in issues.select_related("target").order_by("pk").iterator(chunk_size=2_000):
        counts[LIMITS] += 1
        kept, again = f"{issue.low} … {issue.high} {issue.unit}", _limits_again(issue)
        if again != kept:
            yield Discrepancy(LIMITS, str(issue), kept, again)


def _limits_again(issue: TargetIssue) -> str:
    try:
        limits = limits_of(issue)
    except CoreError as error:
        return f"unreadable: {error}"
    if limits is None:
        return "none"
    low, high = ("" if end is None else canonical_text(end) for end in (limits.low, limits.high))
    return f"{low} … {high} {limits.unit.symbol}"


def _verdicts(project: Project, counts: LookedAt) -> Iterator[Discrepancy]:
    """Judge every reading again by the issue it was judged by, and work its uncertainty out anew."""
    rows = (
        Measurement.objects.filter(project=project).select_related("issue", "instrument_range").order_by("pk")
    )
    for row in rows.iterator(chunk_size=2_000):
        counts[VERDICT] += 1
        counts[UNCERTAINTY] += bool(row.uncertainty_from)
        again = _judged_again(row)
        kept = f"{row.verdict} {row.undecidable} {row.value_base}"
        if again != kept:
            yield Discrepancy(VERDICT, f"measurement {row.pk}", kept, again)
        if differing := uncertainty_discrepancy(row):
            yield Discrepancy(UNCERTAINTY, f"measurement {row.pk}", *differing)


def _judged_again(row: Measurement) -> str:
    try:
        base = base_value_of(row)
        if row.issue is None:
            return f"{row.verdict} {row.undecidable} {base}"
        judgement = judgement_of(row.issue, row)
    except CoreError as error:
        return f"unreadable: {error}"
    return f"{judgement.verdict or ''} {not judgement.decidable} {base}"
