"""Keeps the current results, failing spans and trials equal to the history.

Added readings are merged with what is kept; everything else that can change a result (a withdrawal,
a new issue, a rework, an option setting, a prerequisite) reads the history of the cells it touches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import datetime

from django.db.models import Q

from logbook.bench.models import CurrentResult, FailingSpan, Measurement, Trial
from logbook.bench.queries.evaluation import (
    EVALUATED,
    FAILING,
    Cell,
    Derived,
    Evaluation,
    Pair,
    evaluation_of,
    standing_readings,
    taken_order,
)
from logbook.boards.queries import Stretch
from logbook.projects.models import Project

KEPT_FIELDS = [
    "found",
    "found_verdict",
    "found_undecidable",
    "not_counted",
    "designed",
    "designed_verdict",
    "designed_undecidable",
    "first",
    "first_verdict",
]


SIDES = ("found", "designed", "first")
ROW_FIELDS = ("target_id", "board_id", "point", "found_verdict")


def count_in(project: Project, added: Collection[Measurement]) -> None:
    """Bring everything kept up to date after ``added`` were stored. Runs in the caller's transaction."""
    readings = [reading for reading in added if reading.target_id is not None]
    if not readings:
        return
    evaluation = evaluation_of(
        project,
        {reading.board_id for reading in readings},
        target_ids={reading.target_id for reading in readings if reading.target_id},
    )
    kept = _kept_rows(readings)
    rows_of = _rows_by_pair(kept)
    touched: set[Cell] = set()
    for pair, new in _by_pair(readings).items():
        if not evaluation.dependents_of(pair.target_id):
            continue
        since = _extend_spans(evaluation, pair, new, rows_of.get(pair, []))
        touched |= _dependent_cells(evaluation, pair, since)
    merged: dict[Cell, list[Measurement]] = defaultdict(list)
    for reading in readings:
        merged[cell_of(reading)].append(reading)
    for cell in merged.keys() - touched:
        if cell in kept:
            merged[cell] += _references(kept[cell])
    _store(project, evaluation, {cell: merged[cell] for cell in merged.keys() - touched})
    recompute_cells(project, evaluation, touched)


def recompute(project: Project, *, cells: Collection[Cell] = (), pairs: Collection[Pair] = ()) -> None:
    """Derive cells, and the failing spans of ``pairs``, anew from the history."""
    boards = {cell.board_id for cell in cells} | {pair.board_id for pair in pairs}
    evaluation = evaluation_of(project, boards)
    touched = set(cells)
    for pair in pairs:
        if evaluation.dependents_of(pair.target_id):
            since = _recompute_spans(evaluation, pair)
            touched |= _dependent_cells(evaluation, pair, since)
    recompute_cells(project, evaluation, touched)


def cell_of(measurement: Measurement) -> Cell:
    """Return the cell a reading belongs to."""
    return Cell(measurement.target_id or 0, measurement.board_id, measurement.point)


def cells_of_targets(target_ids: Collection[int], board_ids: Collection[int] | None = None) -> set[Cell]:
    """Return the cells of some targets that hold readings. One query."""
    rows = CurrentResult.objects.filter(target_id__in=target_ids)
    if board_ids is not None:
        rows = rows.filter(board_id__in=board_ids)
    return {Cell(*row) for row in rows.values_list("target_id", "board_id", "point")}


def _by_pair(readings: Iterable[Measurement]) -> dict[Pair, list[Measurement]]:
    pairs: dict[Pair, list[Measurement]] = defaultdict(list)
    for reading in readings:
        pairs[Pair(reading.board_id, reading.target_id or 0)].append(reading)
    return pairs


def _kept_rows(readings: Collection[Measurement]) -> dict[Cell, CurrentResult]:
    """Return the kept rows of the pairs that ``readings`` belong to. One query."""
    rows = CurrentResult.objects.filter(
        board_id__in={reading.board_id for reading in readings},
        target_id__in={reading.target_id for reading in readings},
    ).select_related("found", "designed", "first")
    rows = rows.only(*ROW_FIELDS, *(f"{side}__{name}" for side in SIDES for name in EVALUATED))
    return {Cell(row.target_id, row.board_id, row.point): row for row in rows}


def _rows_by_pair(kept: dict[Cell, CurrentResult]) -> dict[Pair, list[CurrentResult]]:
    rows: dict[Pair, list[CurrentResult]] = defaultdict(list)
    for cell, row in kept.items():
        rows[Pair(cell.board_id, cell.target_id)].append(row)
    return rows


def _references(row: CurrentResult) -> list[Measurement]:
    kept = {reading.pk: reading for reading in (row.found, row.designed, row.first) if reading}
    return list(kept.values())


def _extend_spans(
    evaluation: Evaluation, pair: Pair, new: list[Measurement], rows: list[CurrentResult]
) -> datetime | None:
    """Carry the failing spans of a pair on by ``new``; return from when they differ, if they do."""
    ordered = sorted(new, key=taken_order)
    if any(taken_order(row.found) > taken_order(ordered[0]) for row in rows):
        return _recompute_spans(evaluation, pair)
    failing = {row.point for row in rows if row.found_verdict in FAILING and evaluation.is_asked(row.found)}
    before = bool(failing)
    states = {bool(_after(failing, reading, evaluation)) for reading in ordered}
    return None if states == {before} else _recompute_spans(evaluation, pair)


def _after(failing: set[str], reading: Measurement, evaluation: Evaluation) -> set[str]:
    if evaluation.verdict_of(reading)[0] in FAILING and evaluation.is_asked(reading):
        failing.add(reading.point)
    else:
        failing.discard(reading.point)
    return failing


def _recompute_spans(evaluation: Evaluation, pair: Pair) -> datetime | None:
    """Derive the failing spans of a pair from its history; return from when they differ, if they do."""
    history = standing_readings(Q(board_id=pair.board_id, target_id=pair.target_id))
    before = evaluation.spans.get(pair, [])
    after = evaluation.failing_stretches(history)
    if before == after:
        return None
    FailingSpan.objects.filter(board_id=pair.board_id, target_id=pair.target_id).delete()
    FailingSpan.objects.bulk_create(
        FailingSpan(board_id=pair.board_id, target_id=pair.target_id, begins=span.begins, ends=span.ends)
        for span in after
    )
    evaluation.spans[pair] = after
    return min(_edges(set(before) ^ set(after)))


def _edges(spans: Iterable[Stretch]) -> list[datetime]:
    return [span.begins for span in spans]


def _dependent_cells(evaluation: Evaluation, pair: Pair, since: datetime | None) -> set[Cell]:
    """Return the cells on the board whose readings since ``since`` may count differently now."""
    if since is None:
        return set()
    rows = CurrentResult.objects.filter(
        board_id=pair.board_id,
        target_id__in=evaluation.dependents_of(pair.target_id),
        found__taken_at__gte=since,
    )
    return {Cell(*row) for row in rows.values_list("target_id", "board_id", "point")}


def recompute_cells(project: Project, evaluation: Evaluation, cells: Collection[Cell]) -> None:
    """Derive ``cells`` from their whole history; a cell without standing readings is dropped."""
    if not cells:
        return
    evaluation.yardstick.learn(cell.target_id for cell in cells)
    history: dict[Cell, list[Measurement]] = {cell: [] for cell in cells}
    where = Q(
        target_id__in={cell.target_id for cell in cells}, board_id__in={cell.board_id for cell in cells}
    )
    for reading in standing_readings(where):
        if cell_of(reading) in history:
            history[cell_of(reading)].append(reading)
    _store(project, evaluation, history)


def _store(project: Project, evaluation: Evaluation, readings: dict[Cell, list[Measurement]]) -> None:
    derived = {cell: evaluation.derive(found) for cell, found in readings.items()}
    rows = [
        _row(project, evaluation, cell, result)
        for cell, result in sorted(derived.items())
        if result is not None
    ]
    CurrentResult.objects.bulk_create(
        rows,
        update_conflicts=True,
        unique_fields=["target", "board", "point"],
        update_fields=KEPT_FIELDS,
    )
    for cell, result in derived.items():
        if result is None:
            CurrentResult.objects.filter(**cell._asdict()).delete()
    _keep_trials({(cell.target_id, evaluation.revisions[cell.board_id]) for cell in readings})


def _row(project: Project, evaluation: Evaluation, cell: Cell, result: Derived) -> CurrentResult:
    values = {name: getattr(result, name) for name in KEPT_FIELDS}
    revision_id = evaluation.revisions[cell.board_id]
    return CurrentResult(project=project, revision_id=revision_id, **cell._asdict(), **values)


def _keep_trials(pairs: set[tuple[int, int]]) -> None:
    """Keep the first as-designed verdict of each (target, revision) in ``pairs``. Three queries."""
    firsts = trials_of(pairs)
    stale = [pair for pair in pairs if pair not in firsts]
    for target_id, revision_id in stale:
        Trial.objects.filter(target_id=target_id, revision_id=revision_id).delete()
    Trial.objects.bulk_create(
        [firsts[pair] for pair in sorted(firsts)],
        update_conflicts=True,
        unique_fields=["target", "revision"],
        update_fields=["measurement", "taken_at", "failed"],
    )


def trials_of(pairs: Collection[tuple[int, int]]) -> dict[tuple[int, int], Trial]:
    """Return the trial of each (target, revision) as the current results have it. One query."""
    rows = CurrentResult.objects.filter(
        target_id__in={target_id for target_id, _ in pairs},
        revision_id__in={revision_id for _, revision_id in pairs},
        first__isnull=False,
    ).order_by("-first__taken_at", "-first__recorded_at", "-first_id")
    firsts: dict[tuple[int, int], Trial] = {}
    for target_id, revision_id, first_id, taken_at, verdict in rows.values_list(
        "target_id", "revision_id", "first_id", "first__taken_at", "first_verdict"
    ):
        if (target_id, revision_id) in pairs:
            firsts[target_id, revision_id] = Trial(
                target_id=target_id,
                revision_id=revision_id,
                measurement_id=first_id,
                taken_at=taken_at,
                failed=verdict in FAILING,
            )
    return firsts
