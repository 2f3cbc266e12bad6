"""Preferred values of resistors and capacitors, and the codes printed on them.

Rule: a series is its defining rule plus the exceptions the standard names; every table names its source.
"""

from logbook.core.preferred.marking import decode_colour_bands, decode_eia96, decode_numeric_code
from logbook.core.preferred.nearest import PreferredValue, nearest_value
from logbook.core.preferred.series import SERIES_NAMES, series_values, usual_tolerance_percent
from logbook.core.quantities.tolerance_letters import LetterTolerance, tolerance_of_letter

__all__ = [
    "SERIES_NAMES",
    "LetterTolerance",
    "PreferredValue",
    "decode_colour_bands",
    "decode_eia96",
    "decode_numeric_code",
    "nearest_value",
    "series_values",
    "tolerance_of_letter",
    "usual_tolerance_percent",
]
