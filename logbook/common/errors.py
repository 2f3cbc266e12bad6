"""Errors of the site's rules. Each says what was given, what is allowed and where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from logbook.core.errors import CoreError


@dataclass(frozen=True)
class FieldProblem:
    """One field that cannot be accepted."""

    field: str
    message: str
    given: str = ""
    allowed: str = ""
    code: str = "invalid"


class DomainError(Exception):
    """Base of all errors raised by commands and queries."""

    code = "domain_error"

    def __init__(self, message: str, *, problems: Sequence[FieldProblem] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.problems = tuple(problems)

    def __reduce__(self) -> tuple[object, ...]:
        """Rebuild with the keyword data, which the default pickling of exceptions drops."""
        return (_rebuild, (type(self), self.message, self.problems))


def _rebuild(kind: type[DomainError], message: str, problems: Sequence[FieldProblem]) -> DomainError:
    return kind(message, problems=problems)


class InvalidInputError(DomainError, ValueError):
    """Input that breaks a rule; ``problems`` names each field."""

    code = "invalid_input"

    @classmethod
    def of(
        cls, field: str, message: str, *, given: object = "", allowed: str = "", code: str = "invalid"
    ) -> InvalidInputError:
        """Return the error for one field."""
        return cls(message, problems=[FieldProblem(field, message, str(given)[:200], allowed, code)])

    @classmethod
    def from_core(cls, field: str, error: CoreError) -> InvalidInputError:
        """Return the error for a value the core refused."""
        return cls.of(field, error.message, given=error.given, allowed=error.allowed, code=error.code)


class NotFoundError(DomainError, LookupError):
    """Something that does not exist, or that this person may not know of."""

    code = "not_found"


class NotThereYetError(NotFoundError):
    """Something that was not there yet on the day asked for."""

    code = "not_there_yet"


class NotAllowedError(DomainError, PermissionError):
    """Something this person or token may see but not do."""

    code = "not_allowed"


class ConflictError(DomainError):
    """A write that contradicts what is already recorded."""

    code = "conflict"


class ChangedMeanwhileError(ConflictError):
    """A write by somebody who has not seen what somebody else changed in between."""

    code = "changed_meanwhile"
