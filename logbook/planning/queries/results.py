"""The current results of a revision: today's as they are kept, a past day's from the history."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery

from logbook.bench.models import CurrentResult, Measurement
from logbook.bench.queries.evaluation import Cell, Derived, evaluation_of
from logbook.boards.models import Board
from logbook.planning.translate import CellResult, ShownReading
from logbook.projects.models import Revision

OWN = (
    "target_id",
    "board__serial",
    "point",
    "found_verdict",
    "found_undecidable",
    "not_counted",
    "designed_verdict",
    "designed_undecidable",
)


def kept_results(rows: QuerySet[CurrentResult]) -> list[CellResult]:
    """Return the kept results in ``rows``, by target, board and point. One query."""
    names = [f"{side}__{name}" for side in ("found", "designed") for name in ShownReading._fields]
    width = len(ShownReading._fields)
    results = []
    for row in rows.order_by("target_id", "board__serial", "point").values_list(*OWN, *names):
        target_id, board, point, found_verdict, found_undecidable, not_counted, verdict, undecidable = row[:8]
        found, designed = row[8 : 8 + width], row[8 + width :]
        results.append(
            CellResult(
                target_id,
                board,
                point,
                ShownReading(*found),
                found_verdict,
                found_undecidable,
                not_counted,
                None if designed[0] is None else ShownReading(*designed),
                verdict,
                undecidable,
            )
        )
    return results


def past_results(revision: Revision, until: datetime) -> list[CellResult]:
    """Return the results as they stood at ``until``: latest readings through the index, per cell.

    Only cells whose latest reading does not count as designed are read through their history.
    """
    boards = list(Board.objects.filter(revision=revision))
    evaluation = evaluation_of(revision.project, [board.pk for board in boards], until=until)
    serials = {board.pk: board.serial for board in boards}
    latest = _latest_readings(revision, until)
    doubtful = {cell for cell, reading in latest.items() if evaluation.not_counted(reading)}
    history = _history_of(doubtful, until)
    results = [
        _past_result(serials, cell, derived)
        for cell, reading in latest.items()
        if evaluation.yardstick.in_force(cell.target_id, revision.pk) is not None
        if (derived := evaluation.derive(history.get(cell, [reading]))) is not None
    ]
    return sorted(results, key=lambda result: (result.target_id, result.board, result.point))


def _standing_at(until: datetime) -> Q:
    return Q(taken_at__lte=until) & (Q(withdrawn_at__isnull=True) | Q(withdrawn_at__gt=until))


def _latest_readings(revision: Revision, until: datetime) -> dict[Cell, Measurement]:
    """Return the latest reading of each cell. Two queries, one index descent a cell."""
    cells = Measurement.objects.filter(
        _standing_at(until),
        target_id=OuterRef("target_id"),
        board_id=OuterRef("board_id"),
        point=OuterRef("point"),
    ).order_by("-taken_at", "-recorded_at", "-id")
    ids = (
        _cells_of(revision).annotate(latest=Subquery(cells.values("pk")[:1])).values_list("latest", flat=True)
    )
    rows = Measurement.objects.in_bulk([pk for pk in ids if pk is not None])
    return {Cell(row.target_id or 0, row.board_id, row.point): row for row in rows.values()}


def _cells_of(revision: Revision) -> QuerySet[Measurement, Any]:
    """Return every cell of the revision that ever held a reading, withdrawn ones too."""
    readings = Measurement.objects.filter(board__revision=revision, target__isnull=False)
    return readings.order_by().values("target_id", "board_id", "point").distinct()


def _history_of(cells: Iterable[Cell], until: datetime) -> dict[Cell, list[Measurement]]:
    wanted = set(cells)
    history: dict[Cell, list[Measurement]] = defaultdict(list)
    rows = Measurement.objects.filter(
        _standing_at(until),
        target_id__in={cell.target_id for cell in wanted},
        board_id__in={cell.board_id for cell in wanted},
    )
    for row in rows:
        cell = Cell(row.target_id or 0, row.board_id, row.point)
        if cell in wanted:
            history[cell].append(row)
    return history


def _past_result(serials: dict[int, str], cell: Cell, derived: Derived) -> CellResult:
    return CellResult(
        cell.target_id,
        serials[cell.board_id],
        cell.point,
        shown(derived.found),
        derived.found_verdict,
        derived.found_undecidable,
        derived.not_counted,
        shown(derived.designed) if derived.designed else None,
        derived.designed_verdict,
        derived.designed_undecidable,
    )


def shown(measurement: Measurement) -> ShownReading:
    """Return what is shown of a stored reading."""
    return ShownReading(*(getattr(measurement, name) for name in ShownReading._fields))
