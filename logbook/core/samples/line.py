"""A straight line through readings, as a calibration needs it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.core.errors import SampleError
from logbook.core.samples.inputs import finite_readings


@dataclass(frozen=True, slots=True)
class LineFit:
    """Least-squares line y = intercept + slope · x and how well it is known.

    Parameters
    ----------
    intercept, slope : float
        In the unit of y, and of y over x.
    intercept_deviation, slope_deviation, residual_deviation : float
        Their standard deviations, and that of the points about the line.
    r_squared : float
        Share of the scatter of y the line explains; 1 when y does not scatter at all.
    """

    intercept: float
    slope: float
    intercept_deviation: float
    slope_deviation: float
    residual_deviation: float
    r_squared: float


def fit_line(x: Sequence[float], y: Sequence[float]) -> LineFit:
    """Ordinary least squares of y on x.

    Parameters
    ----------
    x, y : sequence of float, shape (n,)
        Points in any units, n ≥ 3, x not all equal.

    Returns
    -------
    LineFit
        In the units of x and y.

    Raises
    ------
    SampleError
        When the lists differ in length, have fewer than three points, or x does not vary.

    Notes
    -----
    Takes x as exact and the scatter of y as the same everywhere.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 4.1.4.1; checked on the NIST Statistical
    Reference Datasets, linear regression.

    Examples
    --------
    >>> fit_line([0, 1, 2], [1, 3, 5]).slope
    2.0
    """
    across, up = finite_readings(x, where="x", at_least=3), finite_readings(y, where="y", at_least=3)
    n = len(across)
    if len(up) != n or min(across) == max(across):
        raise SampleError(
            f"{n} x and {len(up)} y make no line.",
            given=f"{n}, {len(up)}",
            allowed="as many y as x, x not all equal",
            where="x",
        )
    x_mean, y_mean = math.fsum(across) / n, math.fsum(up) / n
    x_square = math.fsum((a - x_mean) ** 2 for a in across)
    slope = math.fsum((a - x_mean) * (b - y_mean) for a, b in zip(across, up, strict=True)) / x_square
    residual_square = math.fsum(
        (b - y_mean - slope * (a - x_mean)) ** 2 for a, b in zip(across, up, strict=True)
    )
    y_square = math.fsum((b - y_mean) ** 2 for b in up)
    residual = math.sqrt(residual_square / (n - 2))
    return LineFit(
        intercept=y_mean - slope * x_mean,
        slope=slope,
        intercept_deviation=residual * math.sqrt(1 / n + x_mean**2 / x_square),
        slope_deviation=residual / math.sqrt(x_square),
        residual_deviation=residual,
        r_squared=1 - residual_square / y_square if y_square else 1.0,
    )
