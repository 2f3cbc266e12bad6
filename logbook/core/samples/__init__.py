"""Small samples: what a handful of readings can and cannot say.

Every function here takes plain numbers and returns plain numbers; where n readings cannot carry a
statement the answer is None, never a guess. SciPy is imported inside the functions that need it,
because loading it would slow down every start.
"""

from __future__ import annotations

from logbook.core.samples.attributes import AttributeBounds, attribute_bounds
from logbook.core.samples.capability import Capability, capability
from logbook.core.samples.description import Sample, describe_sample
from logbook.core.samples.predictive import (
    FROM_READINGS,
    MOSTLY_ASSUMED,
    Predictive,
    predictive_out_of_limits,
    prior_spread,
)
from logbook.core.samples.tolerance import tolerance_interval

__all__ = [
    "FROM_READINGS",
    "MOSTLY_ASSUMED",
    "AttributeBounds",
    "Capability",
    "Predictive",
    "Sample",
    "attribute_bounds",
    "capability",
    "describe_sample",
    "predictive_out_of_limits",
    "prior_spread",
    "tolerance_interval",
]
