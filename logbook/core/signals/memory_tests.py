"""Memory tests: what a count of wrong words says about the error rate."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.core.errors import SignalError
from logbook.core.samples import attribute_bounds
from logbook.core.signals.numbers import SignalNumber


@dataclass(frozen=True, slots=True)
class MemoryTest:
    """Result of a memory test.

    Parameters
    ----------
    words_tested : int
        Words read back and compared, every pass counted.
    errors : int
        Words that came back wrong.
    pattern : str
        Name of the pattern, such as ``march C-``; another pattern finds other faults.
    confidence : float
        Of the upper bound, between 0 and 1.
    error_rate : float
        Errors a word, as seen.
    upper_error_rate : float
        One-sided upper bound of errors a word; above 0 even without an error.
    """

    words_tested: int
    errors: int
    pattern: str
    confidence: float
    error_rate: float
    upper_error_rate: float

    def numbers(self) -> tuple[SignalNumber, ...]:
        """The numbers one by one, each with its unit."""
        bound = f"upper bound at {100 * self.confidence:g} % confidence, errors a word"
        return (
            SignalNumber("errors", float(self.errors), "errors", f"pattern {self.pattern}"),
            SignalNumber("error_rate", self.error_rate, "", "errors a word"),
            SignalNumber("upper_error_rate", self.upper_error_rate, "", bound),
        )


def memory_test(words_tested: int, errors: int, pattern: str, confidence: float = 0.95) -> MemoryTest:
    """State the result of a memory test with the upper bound of its error rate.

    Parameters
    ----------
    words_tested : int
        At least 1.
    errors : int
        0 to `words_tested`.
    pattern : str
        Not empty.
    confidence : float
        Between 0 and 1, both left out.

    Returns
    -------
    MemoryTest
        With the one-sided Clopper–Pearson bound.

    Raises
    ------
    SignalError
        When no pattern is named.
    SampleError
        When the counts or the confidence are impossible.

    Notes
    -----
    The bound takes words as independent; a stuck address line makes errors in groups.

    Examples
    --------
    >>> round(memory_test(8_388_608, 0, "march C-").upper_error_rate * 1e7, 3)
    3.571
    """
    if not pattern.strip():
        raise SignalError("A memory test names its pattern.", allowed="such as march C-", where="pattern")
    bounds = attribute_bounds(errors, words_tested, confidence, "upper")
    return MemoryTest(words_tested, errors, pattern.strip(), confidence, bounds.estimate, bounds.upper)
