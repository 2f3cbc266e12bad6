"""Allan deviations: how a frequency wanders over longer and longer averages."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from logbook.core.samples.inputs import finite_readings, whole_count

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class AllanDeviations(NamedTuple):
    """Plain, overlapping and modified Allan deviation; None where the record is too short."""

    plain: float | None
    overlapping: float | None
    modified: float | None


def allan_deviations(frequencies: Sequence[float], average: int) -> AllanDeviations:
    """Allan deviations of evenly spaced frequency values at one averaging factor.

    Parameters
    ----------
    frequencies : sequence of float, shape (n,)
        Frequencies, or fractional frequencies, averaged over one equal interval each without gaps, n ≥ 2.
    average : int
        How many neighbours are averaged, at least 1: tau over the interval.

    Returns
    -------
    AllanDeviations
        In the unit of the frequencies.

    Raises
    ------
    SampleError
        When there are fewer than two values, one is not finite, or the factor is below 1.

    Notes
    -----
    Computed on the phase, the running sum of the frequencies. The plain deviation steps through the
    record without overlap and uses a remainder shorter than one average not at all.

    References
    ----------
    W. J. Riley, "Handbook of Frequency Stability Analysis", NIST SP 1065 (2008), 5.2.2, 5.2.4, 5.2.5.

    Examples
    --------
    >>> f"{allan_deviations([892, 809, 823, 798, 671, 644, 883, 903, 677], 1).plain:.5f}"
    '91.22945'
    """
    import numpy as np

    values = np.asarray(finite_readings(frequencies, where="frequencies", at_least=2))
    m = whole_count(average, "average", at_least=1)
    # The mean is taken off because only second differences count and the sum would grow without it.
    phase = np.concatenate(([0.0], np.cumsum(values - values.mean())))
    second = phase[2 * m :] - 2 * phase[m:-m] + phase[: -2 * m] if len(phase) > 2 * m else phase[:0]
    return AllanDeviations(
        plain=_deviation(second[::m] / m), overlapping=_deviation(second / m), modified=_modified(second, m)
    )


def _modified(second: NDArray[np.float64], m: int) -> float | None:
    import numpy as np

    if len(second) < m:
        return None
    sums = np.convolve(second, np.ones(m), mode="valid")
    return _deviation(sums / (m * m))


def _deviation(differences: NDArray[np.float64]) -> float | None:
    import numpy as np

    return float(np.sqrt(np.mean(differences**2) / 2)) if len(differences) else None
