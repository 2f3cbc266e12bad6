"""The current results of a revision: today's as they are kept, a past day's from the history."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery

from logbook.bench.models import CurrentResult, Measurement, Target, TargetIssue
from logbook.bench.queries.evaluation import Cell, Derived, evaluation_of
from logbook.boards.models import Board
from logbook.common.prepared import Prepared, Row, given, ids_given, listed
from logbook.planning.translate import CellResult, ShownReading
from logbook.projects.models import Project

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


def results_of(
    project: Project,
    revision_ids: Collection[int],
    until: datetime | None = None,
    *,
    targets: Iterable[int] | None = None,
) -> list[CellResult]:
    """Return the results on boards of some revisions, today or as they stood at ``until``.

    By target, board and point. Two queries for today.
    """
    if until is not None:
        return past_results(project, revision_ids, until)
    if targets is None:
        return _kept(_OF_REVISIONS.rows(listed(revision_ids)))
    return _kept(_OF_TARGETS.rows(listed(revision_ids), listed(targets)))


def results_of_project(project: Project) -> list[CellResult]:
    """Return today's results on every board of a project. Two queries."""
    return _kept(_OF_PROJECT.rows(project.pk))


def by_target(targets: Mapping[str, Target], results: Iterable[CellResult]) -> dict[str, list[CellResult]]:
    """Return the results of each target by its key; those of others are left out."""
    keys = {target.pk: key for key, target in targets.items()}
    cells: dict[str, list[CellResult]] = defaultdict(list)
    for result in results:
        if result.target_id in keys:
            cells[keys[result.target_id]].append(result)
    return dict(cells)


def counts(cells: Iterable[CellResult], issue: TargetIssue | None) -> bool:
    """Say whether some reading counts at a point the issue asks for."""
    return issue is not None and any(
        cell.designed is not None and cell.point in issue.points for cell in cells
    )


def _kept(rows: Sequence[Row]) -> list[CellResult]:
    """Return kept results from their rows. One query, for readings as designed that are not those found.

    They are rare, so that they are not joined to every row; asked always, the number of queries stays equal.
    """
    first = len(OWN)
    ids = {row[first] for row in rows if row[first] not in (None, row[first + 1])}
    others = {row[0]: ShownReading._make(row) for row in _READINGS.rows(listed(ids))}
    results = []
    for row in rows:
        own, designed_id, found = row[:first], row[first], ShownReading._make(row[first + 1 :])
        designed = found if designed_id == found.id else others.get(designed_id)
        results.append(CellResult._make((*own[:3], found, *own[3:6], designed, *own[6:])))
    return results


def _asked(rows: QuerySet[CurrentResult]) -> QuerySet[CurrentResult, Any]:
    found = [f"found__{name}" for name in ShownReading._fields]
    return rows.order_by("target_id", "board__serial", "point").values_list(*OWN, "designed_id", *found)


_OF_REVISIONS = Prepared(lambda: _asked(CurrentResult.objects.filter(revision_id__among=ids_given(0))))
_OF_TARGETS = Prepared(
    lambda: _asked(
        CurrentResult.objects.filter(revision_id__among=ids_given(0), target_id__among=ids_given(1))
    )
)
_OF_PROJECT = Prepared(lambda: _asked(CurrentResult.objects.filter(project_id=given(0))))
_READINGS = Prepared(
    lambda: Measurement.objects.filter(pk__among=ids_given(0)).values_list(*ShownReading._fields)
)


@dataclass(frozen=True)
class PastResults:
    """The results of several revisions as they stood at a moment, and the revision of each board."""

    results: Sequence[CellResult]
    homes: Mapping[str, int]

    def of(self, revision_ids: Collection[int]) -> list[CellResult]:
        """Return the results of some of the revisions."""
        return [one for one in self.results if self.homes[one.board] in revision_ids]


def past_results_with_homes(project: Project, revision_ids: Collection[int], until: datetime) -> PastResults:
    """Return the results of some revisions as they stood at ``until``, to be shared. One query more."""
    boards = Board.objects.filter(revision_id__in=revision_ids).values_list("serial", "revision_id")
    return PastResults(past_results(project, revision_ids, until), dict(boards))


def past_results(project: Project, revision_ids: Collection[int], until: datetime) -> list[CellResult]:
    """Return the results of some revisions as they stood at ``until``.

    Latest readings come through the index, per cell; only cells whose latest reading does not count as
    designed are read through their history.
    """
    boards = list(Board.objects.filter(revision_id__in=revision_ids))
    evaluation = evaluation_of(project, [board.pk for board in boards], until=until)
    serials = {board.pk: board.serial for board in boards}
    latest = _latest_readings(revision_ids, until)
    doubtful = {cell for cell, reading in latest.items() if evaluation.not_counted(reading)}
    history = _history_of(doubtful, until)
    results = [
        _past_result(serials, cell, derived)
        for cell, reading in latest.items()
        if evaluation.yardstick.in_force(cell.target_id, evaluation.revisions[cell.board_id]) is not None
        if (derived := evaluation.derive(history.get(cell, [reading]))) is not None
    ]
    return sorted(results, key=lambda result: (result.target_id, result.board, result.point))


def _standing_at(until: datetime) -> Q:
    return Q(taken_at__lte=until) & (Q(withdrawn_at__isnull=True) | Q(withdrawn_at__gt=until))


def _latest_readings(revision_ids: Collection[int], until: datetime) -> dict[Cell, Measurement]:
    """Return the latest reading of each cell. Two queries, one index descent a cell."""
    cells = Measurement.objects.filter(
        _standing_at(until),
        target_id=OuterRef("target_id"),
        board_id=OuterRef("board_id"),
        point=OuterRef("point"),
    ).order_by("-taken_at", "-recorded_at", "-id")
    ids = (
        _cells_of(revision_ids)
        .annotate(latest=Subquery(cells.values("pk")[:1]))
        .values_list("latest", flat=True)
    )
    rows = Measurement.objects.in_bulk([pk for pk in ids if pk is not None])
    return {Cell(row.target_id or 0, row.board_id, row.point): row for row in rows.values()}


def _cells_of(revision_ids: Collection[int]) -> QuerySet[Measurement, Any]:
    """Return every cell of the revisions that ever held a reading, withdrawn ones too."""
    readings = Measurement.objects.filter(board__revision_id__in=revision_ids, target__isnull=False)
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
