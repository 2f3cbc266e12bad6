"""Error pages: what was wrong, what is allowed, and the frame around it."""

from __future__ import annotations

import errno
import pickle

import pytest
from django.db import OperationalError
from django.test import Client, RequestFactory

from logbook.accounts.models import User
from logbook.common.errors import (
    ConflictError,
    DomainError,
    InvalidInputError,
    NotAllowedError,
    NotFoundError,
)
from logbook.core.errors import QuantityError
from logbook.web.middleware import DomainErrorMiddleware
from logbook.web.views.errors import bad_request, failed, not_allowed
from tests.builders import Bench


def page_of(error: Exception, user: User) -> tuple[int, str]:
    request = RequestFactory().get("/p/tern/")
    request.user = user
    middleware = DomainErrorMiddleware(failed)
    answer = middleware.process_exception(request, error)
    assert answer is not None
    return answer.status_code, answer.content.decode()


@pytest.mark.parametrize(
    ("error", "status"),
    [
        (NotFoundError("no project 'x'"), 404),
        (NotAllowedError("a reader may not edit"), 403),
        (ConflictError("already undone"), 409),
        (InvalidInputError.of("serial", "unknown", given="9", allowed="0001"), 400),
        (DomainError("something else"), 400),
        (QuantityError("cannot be read", given="3,3", allowed="3.3", where="value"), 400),
    ],
    ids=["not found", "not allowed", "conflict", "invalid", "other", "from the core"],
)
def test_each_error_has_its_status(bench: Bench, error: Exception, status: int) -> None:
    assert page_of(error, bench.owner)[0] == status


def test_it_says_what_was_given_and_what_is_allowed(bench: Bench) -> None:
    error = InvalidInputError.of("serial", "no board '9' here", given="9", allowed="0001, 0002")
    _, html = page_of(error, bench.owner)
    for part in ("No board &#x27;9&#x27; here.", "serial", "0001, 0002"):
        assert part in html


def test_what_was_given_cannot_run(bench: Bench) -> None:
    error = InvalidInputError.of("serial", "unknown", given="<script>alert(1)</script>")
    assert "<script>" not in page_of(error, bench.owner)[1]


@pytest.mark.parametrize(
    ("error", "status", "says"),
    [
        (OperationalError("server closed the connection"), 503, "never stored twice"),
        (OperationalError("database or disk is full"), 507, "must make room"),
        (OSError(errno.ENOSPC, "No space left on device"), 507, "must make room"),
    ],
    ids=["database gone", "full, says SQLite", "full, says the system"],
)
def test_a_fault_below_the_site_says_what_to_do(
    bench: Bench, error: Exception, status: int, says: str
) -> None:
    found, html = page_of(error, bench.owner)
    assert (found, says in html) == (status, True)
    assert str(error) not in html


def test_a_fault_of_ours_is_not_dressed_up(bench: Bench) -> None:
    middleware = DomainErrorMiddleware(failed)
    assert middleware.process_exception(RequestFactory().get("/"), KeyError("x")) is None


def test_an_error_page_still_shows_its_data_after_pickling(bench: Bench) -> None:
    error = pickle.loads(pickle.dumps(InvalidInputError.of("serial", "unknown", allowed="0001")))
    assert "0001" in page_of(error, bench.owner)[1]


def test_an_unknown_address_is_answered_in_the_frame(bench: Bench, client: Client) -> None:
    answer = client.get("/nowhere/")
    assert answer.status_code == 404
    assert "There is no page at /nowhere/" in answer.content.decode()


def test_the_page_of_a_fault_asks_nothing_of_the_database(client: Client) -> None:
    answer = failed(RequestFactory().get("/"))
    assert answer.status_code == 500
    assert b"may not have been stored" in answer.content


def test_the_pages_django_asks_for_have_their_status(bench: Bench) -> None:
    request = RequestFactory().get("/")
    request.user = bench.owner
    assert bad_request(request, ValueError("x")).status_code == 400
    assert not_allowed(request, PermissionError("x")).status_code == 403
