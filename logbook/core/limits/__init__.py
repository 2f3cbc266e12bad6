"""Limits a value must keep, as people write them.

Rule: a limit is part of what it limits, bounds are exact decimals in one unit, and text that could mean two
things is refused.
"""

from logbook.core.limits.formatting import format_limits
from logbook.core.limits.limits import Limits
from logbook.core.limits.reading import limits_from_bounds, parse_limits
from logbook.core.limits.slips import slip_in

__all__ = ["Limits", "format_limits", "limits_from_bounds", "parse_limits", "slip_in"]
