"""State of targets, coverage, open risks and the list for the bench, derived on request."""

from logbook.planning.queries.bench_lines import BenchLine, Sister, bench_lines_of
from logbook.planning.queries.bench_plan import BenchPlanLine, RevisionBenchPlan, bench_plan_of
from logbook.planning.queries.coverage import (
    BoardResult,
    Coverage,
    CoverageRow,
    PointResult,
    coverage_of,
    state_path_of,
)
from logbook.planning.queries.decided import (
    HeldDisposition,
    disposition_of,
    dispositions_of,
)
from logbook.planning.queries.paths import PathReading, PathStep
from logbook.planning.queries.readiness import Missing, RevisionReadiness, readiness_of
from logbook.planning.queries.risks import OpenRisks, RiskRow, open_risks_of
from logbook.planning.queries.samples import BoardReading, PointSample, Share, samples_of

__all__ = [
    "BenchLine",
    "BenchPlanLine",
    "BoardReading",
    "BoardResult",
    "Coverage",
    "CoverageRow",
    "HeldDisposition",
    "Missing",
    "OpenRisks",
    "PathReading",
    "PathStep",
    "PointResult",
    "PointSample",
    "RevisionBenchPlan",
    "RevisionReadiness",
    "RiskRow",
    "Share",
    "Sister",
    "bench_lines_of",
    "bench_plan_of",
    "coverage_of",
    "disposition_of",
    "dispositions_of",
    "open_risks_of",
    "readiness_of",
    "samples_of",
    "state_path_of",
]
