"""Errors of the computing core.

Every error says what was given, what is allowed and where it was found, has a stable ``code``
that callers may branch on, and survives pickling between processes.
"""

from __future__ import annotations


class CoreError(Exception):
    """Base of all errors raised by the core.

    Parameters
    ----------
    message : str
        One sentence a person at a bench can act on.
    given : str
        What was found, as typed.
    allowed : str
        What would have been accepted.
    where : str
        Name of the field or part the input belongs to; empty when the caller knows.
    """

    code = "core_error"

    def __init__(self, message: str, *, given: str = "", allowed: str = "", where: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.given = given
        self.allowed = allowed
        self.where = where

    def __reduce__(self) -> tuple[object, ...]:
        """Rebuild with the keyword data, which the default pickling of exceptions drops."""
        return (_rebuild, (type(self), self.message, self.given, self.allowed, self.where))


def _rebuild(kind: type[CoreError], message: str, given: str, allowed: str, where: str) -> CoreError:
    return kind(message, given=given, allowed=allowed, where=where)


class QuantityError(CoreError, ValueError):
    """A number or unit that cannot be read."""

    code = "unreadable_quantity"


class UnitMismatchError(CoreError, ValueError):
    """Two units that cannot be converted into each other."""

    code = "unit_mismatch"


class LimitError(CoreError, ValueError):
    """Limits that cannot be read or that contradict themselves."""

    code = "unreadable_limits"


class UncertaintyError(CoreError, ValueError):
    """An accuracy or uncertainty statement that is incomplete or impossible."""

    code = "bad_uncertainty"


class PreferredValueError(CoreError, ValueError):
    """A value or series outside IEC 60063."""

    code = "bad_preferred_value"


class SampleError(CoreError, ValueError):
    """A sample from which nothing can be said, or impossible sample parameters."""

    code = "bad_sample"


class GraphError(CoreError, ValueError):
    """A dependency graph that runs in a circle or names an unknown node."""

    code = "bad_graph"


class DecisionError(CoreError, ValueError):
    """A reading or a decision rule from which no verdict can be formed."""

    code = "bad_decision"


class EvidenceError(CoreError, ValueError):
    """Results of a target that contradict themselves or belong to nothing."""

    code = "bad_evidence"


class RiskError(CoreError, ValueError):
    """Probabilities, severities or base rates that no risk can be derived from."""

    code = "bad_risk"


class SignalError(CoreError, ValueError):
    """A capture that cannot be read, or from which a number cannot be taken."""

    code = "bad_signal"


class FormulaError(CoreError, ValueError):
    """A formula that cannot be read, is too large, or has no value at the numbers given."""

    code = "bad_formula"


class ToleranceError(CoreError, ValueError):
    """A part, a tolerance or a stack-up that no band can be computed from."""

    code = "bad_tolerance"


class BenchPlanError(CoreError, ValueError):
    """Checks or minutes that no plan for the bench can be made from."""

    code = "bad_bench_plan"


class PictureError(CoreError, ValueError):
    """Points or pictures that cannot be laid over each other."""

    code = "bad_picture"


class PartsListError(CoreError, ValueError):
    """A bill of materials, a designator or a rule of designators that cannot be read."""

    code = "bad_parts_list"


class CodeError(CoreError, ValueError):
    """A code of letters and digits that no check character belongs to."""

    code = "bad_code"
