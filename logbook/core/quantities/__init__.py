"""Numbers with units, as people write them at a bench.

Rule: typed text goes through one small grammar and a whitelist of units, never through an evaluator; all
arithmetic is exact decimal; what could mean two things is refused with a message.
"""

from logbook.core.quantities.conversion import convert, mismatch
from logbook.core.quantities.decimals import (
    EXACT,
    canonical_text,
    decimal_of,
    parse_number,
    without_trailing_zeros,
)
from logbook.core.quantities.differences import convert_difference, parse_difference
from logbook.core.quantities.formatting import format_engineering, format_quantity
from logbook.core.quantities.markings import MarkedValue, marked_value, parse_marked_value
from logbook.core.quantities.quantity import Quantity
from logbook.core.quantities.reading import KINDS, parse_quantity, unit_of_kind
from logbook.core.quantities.spelling import cleaned
from logbook.core.quantities.units import DIMENSIONLESS, Unit, as_unit, unit_named

__all__ = [
    "DIMENSIONLESS",
    "EXACT",
    "KINDS",
    "MarkedValue",
    "Quantity",
    "Unit",
    "as_unit",
    "canonical_text",
    "cleaned",
    "convert",
    "convert_difference",
    "decimal_of",
    "format_engineering",
    "format_quantity",
    "marked_value",
    "mismatch",
    "parse_difference",
    "parse_marked_value",
    "parse_number",
    "parse_quantity",
    "unit_named",
    "unit_of_kind",
    "without_trailing_zeros",
]
