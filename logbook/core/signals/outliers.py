"""Few samples far from all others: glitches, which are no state of the wave."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from logbook.core.signals.arrays import Floats

# Fewer samples do not tell a glitch from a pulse.
FEWEST = 100
# So many samples, or one, may be outliers at each end of the range.
LARGEST_SHARE = 0.001
# Outliers stand off by at least this share of the range of all others.
GAP = 0.1
# A wave that is smaller than this share of its outliers' distance is a baseline with pulses.
SMALLEST_REST = 0.02


def outliers(values: Floats) -> NDArray[np.bool_]:
    """Mark the samples that stand far off all others.

    Parameters
    ----------
    values : numpy.ndarray
        Shape (n,), any unit, finite.

    Returns
    -------
    numpy.ndarray
        Shape (n,), true for each outlier; all false in records of fewer than 100 samples.

    Notes
    -----
    At each end of the range at most one sample in a thousand (or one) is set aside, where a gap of a tenth of
    the range of the others keeps them apart. Common practice: a rule of thumb, not of a standard.

    Examples
    --------
    >>> wave = np.sin(np.arange(1000) * 0.1)
    >>> wave[500] = 9
    >>> np.flatnonzero(outliers(wave)).tolist()
    [500]
    """
    none = np.zeros(values.size, dtype=np.bool_)
    if values.size < FEWEST:
        return none
    most = max(1, int(values.size * LARGEST_SHARE))
    ordered = np.partition(values, (most, values.size - most - 1))
    top, bottom = np.sort(ordered[-most - 1 :]), -np.sort(-ordered[: most + 1])
    inner = float(top[0] - bottom[0])
    if not inner > 0 or inner < SMALLEST_REST * float(top[-1] - bottom[-1]):
        return none
    return (values > _edge(top, inner)) | (values < -_edge(-bottom, inner))


def _edge(ordered: Floats, inner: float) -> float:
    """Last of the rising values before the first wide gap."""
    wide = np.flatnonzero(np.diff(ordered) >= GAP * inner)
    return float(ordered[wide[0] if wide.size else -1])
