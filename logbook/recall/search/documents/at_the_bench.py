"""Documents of boards, of what is asked of them and of what was read."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.bench.models import (
    BenchSession,
    Calibration,
    Instrument,
    Measurement,
    ReworkRecheck,
    Target,
    TargetIssue,
)
from logbook.boards.models import Board, BoardEvent, Rework
from logbook.calculations.models import Calculation
from logbook.recall.search.documents.document import Found, Ids, Source, chosen, lines, titled


def _boards(ids: Ids) -> Iterator[Found]:
    for row in chosen(Board.objects.select_related("revision").prefetch_related("events"), ids):
        events = list(row.events.all())
        told = [text for event in events for text in (event.location, event.note)]
        body = lines(*dict.fromkeys((row.note, row.state, row.location, row.last_powered, *told)))
        yield Found(
            row.pk,
            row.project_id,
            row.serial,
            f"board {row.serial}",
            body,
            (row.serial,),
            place=", ".join(filter(None, (f"rev {row.revision.label}", row.location))),
            at=events[0].at if events else None,
        )


def _reworks(ids: Ids) -> Iterator[Found]:
    rows = Rework.objects.select_related("board").prefetch_related("paths", "rechecks")
    for row in chosen(rows, ids):
        notes = [one.note for one in row.rechecks.all()]
        yield Found(
            row.pk,
            row.board.project_id,
            row.key,
            titled(row.key, row.what),
            lines(row.reason, row.kind, *row.paths.all(), *notes),
            (row.board.serial, row.key),
            place=f"board {row.board.serial}",
            at=row.in_force_from,
        )


def _targets(ids: Ids) -> Iterator[Found]:
    for row in chosen(Target.objects.prefetch_related("issues"), ids):
        issue = max(row.issues.all(), key=lambda one: one.number, default=None)
        asked = (
            lines(issue.limits_text, issue.conditions, issue.method, issue.basis_note, issue.reason)
            if issue
            else ""
        )
        body = lines(asked, row.probe_at, row.probe_against, row.note)
        yield Found(row.pk, row.project_id, row.key, titled(row.key, row.name), body, (row.key,))


def _calculations(ids: Ids) -> Iterator[Found]:
    for row in chosen(Calculation.objects.all(), ids):
        body = lines(row.formula, ", ".join(row.parts), row.source, row.note)
        title = titled(row.key, row.name)
        yield Found(row.pk, row.project_id, row.key, title, body, (row.key,), at=row.changed_at)


def _measurements(ids: Ids) -> Iterator[Found]:
    rows = Measurement.objects.select_related("board", "target", "instrument")
    for row in chosen(rows, ids).iterator(chunk_size=2_000):
        what = f"{row.target.key} {row.point}".strip() if row.target else row.place or "loose reading"
        withdrawn = f"withdrawn: {row.withdrawn_because}" if row.withdrawn_at else ""
        conditions = ", ".join(f"{name} {value}" for name, value in row.conditions.items())
        instrument = row.instrument.name if row.instrument else ""
        body = lines(
            withdrawn, row.note, row.outcome, row.verdict, conditions, instrument, row.firmware, row.place
        )
        yield Found(
            row.pk,
            row.project_id,
            "",
            f"{what} on {row.board.serial}: {row}",
            body,
            (row.pk,),
            place=f"board {row.board.serial}",
            at=row.taken_at,
        )


def _sessions(ids: Ids) -> Iterator[Found]:
    for row in chosen(BenchSession.objects.all(), ids):
        body = lines(row.note, row.next_step, row.place, row.supply, row.firmware)
        yield Found(row.pk, row.project_id, "", row.title, body, (row.pk,), at=row.started_at)


def _instruments(ids: Ids) -> Iterator[Found]:
    for row in chosen(Instrument.objects.prefetch_related("calibrations"), ids):
        told = [lines(one.number, one.note).replace("\n", " ") for one in row.calibrations.all()]
        body = lines(row.serial, row.note, *told)
        title = titled(row.name, row.kind)
        yield Found(row.pk, None, row.name, title, body, (row.name,), for_everyone=True)


SOURCES = (
    Source("board", _boards, ((Board, "pk"), (BoardEvent, "board_id")), "board-detail"),
    Source("rework", _reworks, ((Rework, "pk"), (ReworkRecheck, "rework_id")), "rework-detail"),
    Source("target", _targets, ((Target, "pk"), (TargetIssue, "target_id")), "target-detail"),
    Source("calculation", _calculations, ((Calculation, "pk"),), "calculation-detail"),
    Source("measurement", _measurements, ((Measurement, "pk"),), "measurement-detail"),
    Source("bench session", _sessions, ((BenchSession, "pk"),), "session-detail"),
    Source(
        "instrument",
        _instruments,
        ((Instrument, "pk"), (Calibration, "instrument_id")),
        "instrument-detail",
        is_of_project=False,
    ),
)
