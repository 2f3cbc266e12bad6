"""Tolerance stack-ups: what a formula over parts with tolerances can come to.

Rule: the extreme is searched over the whole box and called exact only where it is; no method shifts the
nominal; all numbers are in base units until the result is written in the unit asked for.
"""

from logbook.core.tolerance.corners import corner_extremes
from logbook.core.tolerance.extremes import Extreme, extreme_values
from logbook.core.tolerance.linearity import linear_misfit, why_not_linear
from logbook.core.tolerance.margins import Fit, fit_within
from logbook.core.tolerance.monte_carlo import FEWEST_SAMPLES, MOST_SAMPLES, MonteCarlo, simulate
from logbook.core.tolerance.parts import Part, TemperatureRange
from logbook.core.tolerance.reading import parse_part
from logbook.core.tolerance.stack import Band, StackUp, stack_up
from logbook.core.tolerance.terms import TermStack, stack_terms
from logbook.core.tolerance.unit_check import UnitCheck, check_units

__all__ = [
    "FEWEST_SAMPLES",
    "MOST_SAMPLES",
    "Band",
    "Extreme",
    "Fit",
    "MonteCarlo",
    "Part",
    "StackUp",
    "TemperatureRange",
    "TermStack",
    "UnitCheck",
    "check_units",
    "corner_extremes",
    "extreme_values",
    "fit_within",
    "linear_misfit",
    "parse_part",
    "simulate",
    "stack_terms",
    "stack_up",
    "why_not_linear",
]
