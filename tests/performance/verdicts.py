"""Verdicts on many numbers against the two evaluations of the normal distribution they need."""

from __future__ import annotations

import time
from statistics import median

from tests.performance.table import row


def verdicts(count: int) -> None:
    """P6a: the product's own function over two bare evaluations, in turns."""
    import numpy as np
    from scipy.special import ndtr

    from logbook.core.verdict.many import judge_many

    readings = np.random.default_rng(1).normal(3.3, 0.03, count)
    pairs = []
    for _ in range(5):
        begun = time.perf_counter()
        judge_many(3.234, 3.366, readings, 0.004, 2.0)
        between = time.perf_counter()
        ndtr((readings - 3.234) / 0.002)
        ndtr((3.366 - readings) / 0.002)
        pairs.append((between - begun, time.perf_counter() - between))
    product, floor = median(one for one, _ in pairs), median(one for _, one in pairs)
    ratio = median(one / other for one, other in pairs)
    what = f"{count} verdicts over two normal distributions each"
    row("P6a", what, f"{product * 1e3:.0f} ms", f"{floor * 1e3:.0f} ms", f"{ratio:.1f}", "5")
