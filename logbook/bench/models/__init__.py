"""Tables of the bench."""

from logbook.bench.models.current import CurrentResult, FailingSpan, Trial
from logbook.bench.models.evidence import MeasurementEvidence, SessionEvidence
from logbook.bench.models.instruments import Calibration, Instrument, InstrumentRange
from logbook.bench.models.measurements import Measurement
from logbook.bench.models.reworks import ReworkEvidence, ReworkRecheck
from logbook.bench.models.sessions import BenchSession
from logbook.bench.models.targets import Prerequisite, Target, TargetIssue

__all__ = [
    "BenchSession",
    "Calibration",
    "CurrentResult",
    "FailingSpan",
    "Instrument",
    "InstrumentRange",
    "Measurement",
    "MeasurementEvidence",
    "Prerequisite",
    "ReworkEvidence",
    "ReworkRecheck",
    "SessionEvidence",
    "Target",
    "TargetIssue",
    "Trial",
]
