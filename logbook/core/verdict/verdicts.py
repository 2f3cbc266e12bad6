"""The four verdicts and their order."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum


class Verdict(StrEnum):
    """The statement on one reading against its limits (ILAC-G8:09/2019, 4.2.3, non-binary statements)."""

    PASS = "pass"  # noqa: S105 - a verdict, not a password
    CONDITIONAL_PASS = "conditional pass"  # noqa: S105 - a verdict, not a password
    CONDITIONAL_FAIL = "conditional fail"
    FAIL = "fail"

    @property
    def is_failing(self) -> bool:
        """Whether the reading lies outside its limits, with or without doubt."""
        return self in {Verdict.CONDITIONAL_FAIL, Verdict.FAIL}

    @property
    def rank(self) -> int:
        """Place in a list that shows the worst first: 0 for fail, 3 for pass."""
        return _WORST_FIRST.index(self)


_WORST_FIRST = tuple(reversed(Verdict))


def worst_of(verdicts: Iterable[Verdict | None]) -> Verdict | None:
    """Return the worst of several verdicts.

    Parameters
    ----------
    verdicts : iterable of Verdict or None
        None stands for evidence without a decision and is passed over.

    Returns
    -------
    Verdict or None
        The worst verdict; None when there is none.

    Examples
    --------
    >>> worst_of([Verdict.PASS, None, Verdict.CONDITIONAL_PASS])
    <Verdict.CONDITIONAL_PASS: 'conditional pass'>
    """
    return min((verdict for verdict in verdicts if verdict is not None), key=lambda v: v.rank, default=None)
