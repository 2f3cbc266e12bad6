"""Measurement uncertainty after JCGM 100: from accuracy statements and repeats to an expanded uncertainty.

Rule of this package: what people typed stays decimal (bounds, expanded uncertainty), statistics are floats,
and every contribution that enters a result can be read in its budget.
"""

from __future__ import annotations

from logbook.core.uncertainty.accuracy import Accuracy
from logbook.core.uncertainty.combining import combine, correlation_matrix, propagate
from logbook.core.uncertainty.coverage import (
    coverage_factor,
    effective_degrees_of_freedom,
    truncated_degrees_of_freedom,
)
from logbook.core.uncertainty.divisors import divisor
from logbook.core.uncertainty.evaluate import Contribution, UncertaintyResult, evaluate_reading
from logbook.core.uncertainty.rounding import (
    round_reported_uncertainty,
    round_to_uncertainty,
    round_up_significant,
)
from logbook.core.uncertainty.type_a import TypeA, relative_deviation_of_s, type_a, type_a_covariance

__all__ = [
    "Accuracy",
    "Contribution",
    "TypeA",
    "UncertaintyResult",
    "combine",
    "correlation_matrix",
    "coverage_factor",
    "divisor",
    "effective_degrees_of_freedom",
    "evaluate_reading",
    "propagate",
    "relative_deviation_of_s",
    "round_reported_uncertainty",
    "round_to_uncertainty",
    "round_up_significant",
    "truncated_degrees_of_freedom",
    "type_a",
    "type_a_covariance",
]
