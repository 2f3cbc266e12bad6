"""Keeps the current results, failing spans and trials equal to the history.

Added readings are merged with what is kept; everything else that can change a result (a withdrawal,
a new issue, a rework, an option setting, a prerequisite) reads the history of the cells it touches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import datetime
from itertools import zip_longest

from django.db.models import Q

from logbook.bench.models import CurrentResult, FailingSpan, Measurement, Trial
from logbook.bench.queries.evaluation import (
    FAILING,
    Cell,
    Evaluation,
    Judged,
    Pair,
    Settled,
    evaluation_of,
    evaluation_of_new,
    settled,
    standing_readings,
    taken_order,
)
from logbook.bench.queries.yardstick import Yardstick
from logbook.boards.queries import Stretch
from logbook.common.bulk import delete_rows, insert_rows, upsert_rows
from logbook.common.prepared import Moment, Prepared, ids_given, listed
from logbook.projects.models import Project

CELL = ("target_id", "board_id", "point")
KEPT_FIELDS = (
    "project_id",
    "revision_id",
    *CELL,
    "found_id",
    "found_verdict",
    "found_undecidable",
    "not_counted",
    "designed_id",
    "designed_verdict",
    "designed_undecidable",
    "first_id",
    "first_verdict",
)
TRIAL_FIELDS = ("target_id", "revision_id", "measurement_id", "taken_at", "failed")
SPAN = ("target_id", "board_id", "begins")
Results = Mapping[Cell, Settled | None]


def count_in(
    project: Project, added: Collection[Measurement], yardstick: Yardstick, revisions: Mapping[int, int]
) -> None:
    """Bring everything kept up to date after ``added`` were stored. Runs in the caller's transaction.

    They were judged by ``yardstick``; ``revisions`` are those of their boards. What is kept is merged with
    the readings added; where they begin or end the failing of a prerequisite, the readings taken since then
    on what needs it are judged again.
    """
    readings = [reading for reading in added if reading.target_id is not None]
    if not readings:
        return
    target_ids = {reading.target_id for reading in readings if reading.target_id}
    board_ids = {reading.board_id for reading in readings}
    evaluation = evaluation_of_new(
        project, yardstick, {pk: revisions[pk] for pk in sorted(board_ids)}, target_ids
    )
    kept = _kept_results(board_ids, target_ids)
    touched = _extend_spans(evaluation, readings, kept)
    judged: dict[Cell, list[Judged]] = defaultdict(list)
    for reading in readings:
        judged[cell_of(reading)].append(evaluation.judge_new(reading))
    results = {
        cell: settled([*judged[cell], *(kept[cell].readings if cell in kept else ())])
        for cell in judged.keys() - touched.keys()
    }
    _store(project, evaluation, results, kept)
    _judge_again(project, evaluation, touched, judged)


def recompute(project: Project, *, cells: Collection[Cell] = (), pairs: Collection[Pair] = ()) -> None:
    """Derive cells, and the failing spans of ``pairs``, anew from the history."""
    boards = {cell.board_id for cell in cells} | {pair.board_id for pair in pairs}
    evaluation = evaluation_of(project, boards)
    before = {pair: evaluation.spans.get(pair, []) for pair in pairs}
    after = {
        pair: _stretches_of(evaluation, pair) for pair in pairs if evaluation.dependents_of(pair.target_id)
    }
    _store_spans(evaluation, before, after)
    touched = _cells_since(evaluation, before, after)
    recompute_cells(project, evaluation, set(cells) | touched.keys())


def cell_of(measurement: Measurement) -> Cell:
    """Return the cell a reading belongs to."""
    return Cell(measurement.target_id or 0, measurement.board_id, measurement.point)


def cells_of_targets(target_ids: Collection[int], board_ids: Collection[int] | None = None) -> set[Cell]:
    """Return the cells of some targets that hold readings. One query."""
    rows = CurrentResult.objects.filter(target_id__in=target_ids)
    if board_ids is not None:
        rows = rows.filter(board_id__in=board_ids)
    return {Cell(*row) for row in rows.values_list("target_id", "board_id", "point")}


_ORDER = ("taken_at", "recorded_at")
_KEPT = Prepared(
    lambda: (
        CurrentResult.objects.filter(board_id__among=ids_given(0), target_id__among=ids_given(1))
        .order_by()
        .values_list(
            *KEPT_FIELDS[2:],
            *(Moment(f"{side}__{name}") for side in ("found", "designed", "first") for name in _ORDER),
        )
    )
)


def _kept_results(board_ids: Collection[int], target_ids: Collection[int]) -> dict[Cell, Settled]:
    """Return what is kept of some cells. One query."""
    return {
        Cell(*row[:3]): Settled(
            found=Judged._make((*row[12:14], row[3], row[6], row[4], row[5])),
            designed=None if row[7] is None else Judged._make((*row[14:16], row[7], "", row[8], row[9])),
            first=None if row[10] is None else Judged._make((*row[16:18], row[10], "", row[11], False)),
        )
        for row in _KEPT.rows(listed(board_ids), listed(target_ids))
    }


def _extend_spans(
    evaluation: Evaluation, readings: Collection[Measurement], kept: Mapping[Cell, Settled]
) -> dict[Cell, datetime]:
    """Carry the failing spans on by ``readings``; return the cells to judge again, and since when.

    Nothing is held up by a target that never stood failing on its board and is not failing now.
    """
    failing = {Pair(one.board_id, one.target_id or 0) for one in readings if one.verdict in FAILING}
    if not failing and not evaluation.spans:
        return {}
    added: dict[Pair, list[Measurement]] = defaultdict(list)
    for reading in readings:
        pair = Pair(reading.board_id, reading.target_id or 0)
        if (pair in failing or pair in evaluation.spans) and evaluation.dependents_of(pair.target_id):
            added[pair].append(reading)
    if not added:
        return {}
    results: dict[Pair, dict[Cell, Judged]] = defaultdict(dict)
    for cell, result in kept.items():
        results[Pair(cell.board_id, cell.target_id)][cell] = result.found
    before = {pair: evaluation.spans.get(pair, []) for pair in added}
    after = {pair: _carried_on(evaluation, pair, new, results[pair]) for pair, new in added.items()}
    _store_spans(evaluation, before, after)
    return _cells_since(evaluation, before, after)


def _carried_on(
    evaluation: Evaluation, pair: Pair, new: Collection[Measurement], found: Mapping[Cell, Judged]
) -> list[Stretch]:
    """Return the failing spans of a pair after ``new``; read from the history where one came late."""
    earliest = min(taken_order(reading) for reading in new)
    if any(one[:3] > earliest for one in found.values()):
        return _stretches_of(evaluation, pair)
    failing = [
        cell.point for cell, one in found.items() if one.verdict in FAILING and evaluation.is_asked(cell)
    ]
    return evaluation.failing_stretches(new, earlier=evaluation.spans.get(pair, []), failing=failing)


def _stretches_of(evaluation: Evaluation, pair: Pair) -> list[Stretch]:
    history = standing_readings(Q(board_id=pair.board_id, target_id=pair.target_id))
    return evaluation.failing_stretches(history)


def _store_spans(
    evaluation: Evaluation, before: Mapping[Pair, Sequence[Stretch]], after: Mapping[Pair, list[Stretch]]
) -> None:
    """Write the stretches that are new or end otherwise, and take away those that are no more."""
    gone: list[tuple[object, ...]] = []
    new: list[tuple[object, ...]] = []
    for pair, stretches in after.items():
        place = (pair.target_id, pair.board_id)
        gone += [(*place, one.begins) for one in before[pair] if one not in stretches]
        new += [(*place, one.begins, one.ends) for one in stretches if one not in before[pair]]
        evaluation.spans[pair] = stretches
    delete_rows(FailingSpan, SPAN, gone)
    insert_rows(FailingSpan, (*SPAN, "ends"), new)


def _cells_since(
    evaluation: Evaluation, before: Mapping[Pair, Sequence[Stretch]], after: Mapping[Pair, Sequence[Stretch]]
) -> dict[Cell, datetime]:
    """Return the cells whose readings may count differently now, each with the moment from which.

    One query a board on which a prerequisite began or ended to fail.
    """
    since: dict[int, dict[int, datetime]] = defaultdict(dict)
    for pair, stretches in after.items():
        moment = _first_difference(before[pair], stretches)
        if moment is None:
            continue
        of_board = since[pair.board_id]
        for target_id in evaluation.dependents_of(pair.target_id):
            of_board[target_id] = min(moment, of_board.get(target_id, moment))
    cells: dict[Cell, datetime] = {}
    for board_id, of_board in since.items():
        rows = CurrentResult.objects.filter(board_id=board_id, target_id__in=list(of_board))
        for *place, taken_at in rows.values_list(*CELL, "found__taken_at"):
            cell = Cell(*place)
            if taken_at >= of_board[cell.target_id]:
                cells[cell] = of_board[cell.target_id]
    return cells


def _first_difference(before: Sequence[Stretch], after: Sequence[Stretch]) -> datetime | None:
    """Return the first moment at which only one of two lists of stretches holds; none when they agree."""
    for one, other in zip_longest(before, after):
        if one is None or other is None:
            return (one or other).begins
        if one.begins != other.begins:
            return min(one.begins, other.begins)
        if one.ends != other.ends:
            return min(end for end in (one.ends, other.ends) if end is not None)
    return None


def _judge_again(
    project: Project,
    evaluation: Evaluation,
    touched: Mapping[Cell, datetime],
    added: Mapping[Cell, Sequence[Judged]],
) -> None:
    """Derive cells from what is kept or ``added`` before a moment, and their readings since, judged anew."""
    if not touched:
        return
    evaluation.yardstick.learn({cell.target_id for cell in touched})
    results: dict[Cell, Settled | None] = {}
    kept: dict[Cell, Settled] = {}
    whole: set[Cell] = set()
    for board_id in {cell.board_id for cell in touched}:
        cells = {cell: since for cell, since in touched.items() if cell.board_id == board_id}
        targets = {cell.target_id for cell in cells}
        kept |= _kept_results({board_id}, targets)
        recent = _readings_since(cells)
        for cell, since in cells.items():
            earlier = [*(kept[cell].readings if cell in kept else ()), *added.get(cell, ())]
            older = [one for one in earlier if one.taken_at < since]
            results[cell] = settled([*older, *map(evaluation.judge, recent[cell])])
            if _has_lost_its_latest(kept.get(cell), results[cell], since):
                whole.add(cell)
    _store(project, evaluation, {cell: results[cell] for cell in results.keys() - whole}, kept)
    recompute_cells(project, evaluation, whole)


def _readings_since(cells: Mapping[Cell, datetime]) -> dict[Cell, list[Measurement]]:
    """Return the standing readings of cells of one board since the moment of each. One query."""
    where = Q(
        board_id__in={cell.board_id for cell in cells},
        target_id__in={cell.target_id for cell in cells},
        taken_at__gte=min(cells.values()),
    )
    recent: dict[Cell, list[Measurement]] = defaultdict(list)
    for reading in standing_readings(where):
        cell = cell_of(reading)
        if cell in cells and reading.taken_at >= cells[cell]:
            recent[cell].append(reading)
    return recent


def _has_lost_its_latest(before: Settled | None, after: Settled | None, since: datetime) -> bool:
    """Say whether an earlier reading, not kept, may count as designed now that the latest does not."""
    if before is None or before.designed is None or before.designed.taken_at < since:
        return False
    return after is None or after.designed is None or after.designed.taken_at < since


def recompute_cells(project: Project, evaluation: Evaluation, cells: Collection[Cell]) -> None:
    """Derive ``cells`` from their whole history; a cell without standing readings is dropped."""
    if not cells:
        return
    evaluation.yardstick.learn(cell.target_id for cell in cells)
    history: dict[Cell, list[Judged]] = {cell: [] for cell in cells}
    where = Q(
        target_id__in={cell.target_id for cell in cells}, board_id__in={cell.board_id for cell in cells}
    )
    for reading in standing_readings(where):
        if (cell := cell_of(reading)) in history:
            history[cell].append(evaluation.judge(reading))
    _store(project, evaluation, {cell: settled(found) for cell, found in history.items()}, None)


def _store(
    project: Project, evaluation: Evaluation, results: Results, before: Mapping[Cell, Settled] | None
) -> None:
    """Write the results that differ from ``before``; without it, all of them."""
    changed = {
        cell: result for cell, result in results.items() if before is None or result != before.get(cell)
    }
    rows = [
        (project.pk, evaluation.revisions[cell.board_id], *cell, *_kept_values(result))
        for cell, result in sorted(changed.items())
        if result is not None
    ]
    upsert_rows(CurrentResult, KEPT_FIELDS, rows, unique=CELL)
    delete_rows(CurrentResult, CELL, [cell for cell, result in changed.items() if result is None])
    _keep_trials(
        {
            (cell.target_id, evaluation.revisions[cell.board_id])
            for cell, result in changed.items()
            if before is None or _first_of(result) != _first_of(before.get(cell))
        }
    )


def _kept_values(result: Settled) -> Iterator[object]:
    found, designed, first = result
    yield from (found.pk, found.verdict, found.undecidable, found.not_counted)
    yield from (designed.pk, designed.verdict, designed.undecidable) if designed else (None, "", False)
    yield from (first.pk, first.verdict) if first else (None, "")


def _first_of(result: Settled | None) -> tuple[int, str] | None:
    return (result.first.pk, result.first.verdict) if result and result.first else None


def _keep_trials(pairs: set[tuple[int, int]]) -> None:
    """Keep the first as-designed verdict of each (target, revision) in ``pairs``. Three queries."""
    if not pairs:
        return
    firsts = trials_of(pairs)
    delete_rows(Trial, TRIAL_FIELDS[:2], [pair for pair in pairs if pair not in firsts])
    upsert_rows(
        Trial,
        TRIAL_FIELDS,
        [[getattr(firsts[pair], name) for name in TRIAL_FIELDS] for pair in sorted(firsts)],
        unique=TRIAL_FIELDS[:2],
    )


_FIRSTS = Prepared(
    lambda: (
        CurrentResult.objects.filter(
            target_id__among=ids_given(0), revision_id__among=ids_given(1), first__isnull=False
        )
        .order_by("-first__taken_at", "-first__recorded_at", "-first_id")
        .values_list("target_id", "revision_id", "first_id", "first__taken_at", "first_verdict")
    )
)


def trials_of(pairs: Collection[tuple[int, int]]) -> dict[tuple[int, int], Trial]:
    """Return the trial of each (target, revision) as the current results have it. One query."""
    target_ids = listed({target_id for target_id, _ in pairs})
    revision_ids = listed({revision_id for _, revision_id in pairs})
    firsts: dict[tuple[int, int], Trial] = {}
    for target_id, revision_id, first_id, taken_at, verdict in _FIRSTS.rows(target_ids, revision_ids):
        if (target_id, revision_id) in pairs:
            firsts[target_id, revision_id] = Trial(
                target_id=target_id,
                revision_id=revision_id,
                measurement_id=first_id,
                taken_at=taken_at,
                failed=verdict in FAILING,
            )
    return firsts
