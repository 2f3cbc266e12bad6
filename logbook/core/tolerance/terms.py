"""Terms of one accuracy statement added up: initial, line, load, temperature, ageing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.core.errors import ToleranceError


@dataclass(frozen=True, slots=True)
class TermStack:
    """Sum and root sum of squares of terms, in their unit, 0 or more."""

    worst_case: float
    root_sum_square: float

    def __post_init__(self) -> None:
        if not 0 <= self.worst_case < math.inf:
            raise ToleranceError("A sum of terms is finite.", given=str(self.worst_case), where="terms")


def stack_terms(terms: Sequence[float]) -> TermStack:
    """Add up the terms of an accuracy statement.

    Parameters
    ----------
    terms : sequence of float
        Half-widths in one unit (all in percent, or all in volt), finite; the sign does not count.

    Returns
    -------
    TermStack
        In the same unit.

    Raises
    ------
    ToleranceError
        When there is no term, or one is not finite.

    References
    ----------
    Common practice.

    Examples
    --------
    >>> stack_terms([3, 4])
    TermStack(worst_case=7.0, root_sum_square=5.0)
    """
    if not len(terms) or not all(math.isfinite(term) for term in terms):
        raise ToleranceError(
            "Terms are finite numbers, one at least.", given=", ".join(map(str, terms))[:40], where="terms"
        )
    return TermStack(math.fsum(abs(term) for term in terms), math.hypot(*terms))
