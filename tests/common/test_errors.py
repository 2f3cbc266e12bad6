"""Errors keep what they know on their way between processes."""

from __future__ import annotations

import pickle

import pytest

from logbook.common.errors import (
    ConflictError,
    DomainError,
    FieldProblem,
    InvalidInputError,
    NotAllowedError,
    NotFoundError,
)
from logbook.core.errors import QuantityError

KINDS = {
    DomainError: "domain_error",
    InvalidInputError: "invalid_input",
    NotFoundError: "not_found",
    NotAllowedError: "not_allowed",
    ConflictError: "conflict",
}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_they_survive_pickling(kind: type[DomainError]) -> None:
    error = kind("no such rail", problems=[FieldProblem("rail", "unknown", "5V", "3V3")])
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is kind
    assert (again.message, str(again), again.problems) == (error.message, str(error), error.problems)


@pytest.mark.parametrize(("kind", "code"), KINDS.items(), ids=str)
def test_each_has_a_code_of_its_own(kind: type[DomainError], code: str) -> None:
    assert kind("x").code == code


@pytest.mark.parametrize(
    ("kind", "builtin"),
    [(InvalidInputError, ValueError), (NotFoundError, LookupError), (NotAllowedError, PermissionError)],
)
def test_they_are_the_fitting_built_in_too(kind: type[DomainError], builtin: type[Exception]) -> None:
    assert issubclass(kind, builtin)


def test_an_error_of_the_core_keeps_what_was_given_and_allowed() -> None:
    core = QuantityError("no number", given="3,3", allowed="3.3")
    problem = InvalidInputError.from_core("value", core).problems[0]
    assert (problem.field, problem.given, problem.allowed) == ("value", "3,3", "3.3")
    assert problem.code == "unreadable_quantity"


def test_what_was_given_is_cut_to_a_readable_length() -> None:
    assert len(InvalidInputError.of("value", "too long", given="9" * 10_000).problems[0].given) == 200
