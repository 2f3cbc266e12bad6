"""Calculations, instruments, targets and the record of readings."""

from __future__ import annotations

from typing import Any

from django.db.models import Q, QuerySet

from logbook.bench.models import (
    BenchSession,
    Calibration,
    Instrument,
    InstrumentRange,
    Measurement,
    MeasurementEvidence,
    Prerequisite,
    ReworkEvidence,
    ReworkRecheck,
    SessionEvidence,
    Target,
    TargetIssue,
)
from logbook.calculations.models import Calculation
from logbook.projects.models import Project
from logbook.recall.archive.records.record import Record


def _instruments(project: Project) -> QuerySet[Instrument]:
    """Return the instruments anything of a project was read with."""
    read_with = Measurement.objects.filter(project=project, instrument__isnull=False)
    at_hand = BenchSession.instruments.through.objects.filter(benchsession__project=project)
    return Instrument.objects.filter(
        Q(pk__in=read_with.order_by().values("instrument_id").distinct())
        | Q(pk__in=at_hand.values("instrument_id"))
    )


def _ranges(project: Project) -> QuerySet[Any]:
    return InstrumentRange.objects.filter(instrument__in=_instruments(project))


def _calibrations(project: Project) -> QuerySet[Any]:
    return Calibration.objects.filter(instrument__in=_instruments(project))


OF_INSTRUMENT = ("instrument__name", "pk")
RECORDS = (
    Record("calculations", Calculation, "project", key=("key",)),
    Record("instruments", Instrument, rows=_instruments, key=("name",), shared=True, order=("name",)),
    Record(
        "instrument-ranges",
        InstrumentRange,
        rows=_ranges,
        key=("instrument", "name"),
        shared=True,
        parent="instrument",
        order=OF_INSTRUMENT,
    ),
    Record(
        "calibrations",
        Calibration,
        rows=_calibrations,
        key=("instrument", "number"),
        shared=True,
        parent="instrument",
        order=OF_INSTRUMENT,
    ),
    Record("bench-sessions", BenchSession, "project"),
    Record("targets", Target, "project", key=("key",)),
    Record("target-issues", TargetIssue, "target__project", key=("target", "number")),
    Record("prerequisites", Prerequisite, "target__project"),
    Record("measurements", Measurement, "project", key=("key",)),
    Record("measurement-evidence", MeasurementEvidence, "measurement__project"),
    Record("session-evidence", SessionEvidence, "bench_session__project"),
    Record("rework-evidence", ReworkEvidence, "rework__board__project"),
    Record("rework-rechecks", ReworkRecheck, "rework__board__project"),
)
