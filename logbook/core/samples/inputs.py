"""What every sample function refuses: readings that are no numbers, shares outside 0 to 1."""

from __future__ import annotations

import math
from collections.abc import Sequence

from logbook.core.errors import SampleError


def finite_readings(values: Sequence[float], *, where: str = "values", at_least: int = 1) -> list[float]:
    """The readings as floats; refused when one is not finite or there are too few."""
    readings = [float(value) for value in values]
    for value in readings:
        if not math.isfinite(value):
            raise SampleError(
                f"{value} is not a reading.", given=str(value), allowed="finite numbers", where=where
            )
    if len(readings) < at_least:
        raise SampleError(
            f"{len(readings)} readings are too few: at least {at_least} needed.",
            given=str(len(readings)),
            allowed=f"{at_least} or more readings",
            where=where,
        )
    return readings


def open_share(value: float, where: str) -> float:
    """A share such as a confidence; refused unless it lies between 0 and 1, both left out."""
    if not 0 < value < 1:
        raise SampleError(
            f"{where} {value} is not between 0 and 1.",
            given=str(value),
            allowed="more than 0 and less than 1",
            where=where,
        )
    return float(value)


def whole_count(value: int, where: str, *, at_least: int = 0) -> int:
    """A count of things; refused unless it is a whole number and large enough."""
    if isinstance(value, bool) or not float(value).is_integer() or value < at_least:
        raise SampleError(
            f"{where} {value} is not a count of at least {at_least}.",
            given=str(value),
            allowed=f"whole numbers from {at_least}",
            where=where,
        )
    return int(value)
