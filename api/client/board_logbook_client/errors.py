"""What can go wrong between a bench script and the site."""

from __future__ import annotations

from typing import Any


class LogbookError(Exception):
    """Base of the errors of this package."""


class NotSetUpError(LogbookError):
    """The address or the token is missing or cannot be one."""


class SpoolError(LogbookError):
    """The spool on this computer cannot be read or written; a reading being recorded was not kept."""


class InstrumentError(LogbookError):
    """An instrument did not answer, or not with a number."""


class UnreachableError(LogbookError):
    """The site did not answer, or answered with something that says nothing about what was sent."""

    def __init__(self, message: str, retry_after_s: float = 0.0) -> None:
        super().__init__(message)
        self.retry_after_s = retry_after_s

    def __reduce__(self) -> tuple[Any, ...]:
        """Keep the seconds when passed between processes."""
        return type(self), (str(self), self.retry_after_s)


class RefusedError(LogbookError):
    """The site understood and refused; ``problem`` is its answer (RFC 9457)."""

    def __init__(self, problem: dict[str, Any]) -> None:
        super().__init__(problem_text(problem))
        self.problem = problem

    def __reduce__(self) -> tuple[Any, ...]:
        """Keep the problem when passed between processes."""
        return type(self), (self.problem,)


def problem_text(problem: dict[str, Any]) -> str:
    """Return a problem in one line: what was wrong, what was given, what is allowed."""
    lines = []
    for one in problem.get("problems") or []:
        given = f"; given {one['given']!r}" if one.get("given") else ""
        allowed = f"; allowed: {one['allowed']}" if one.get("allowed") else ""
        field = f"{one['field']}: " if one.get("field") else ""
        lines.append(f"{field}{one.get('message', '')}{given}{allowed}")
    return " | ".join(lines) or str(problem.get("detail") or problem.get("title") or "refused")
