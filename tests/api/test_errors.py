"""Every error has the one shape, and none tells what it should not."""

from __future__ import annotations

import errno
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, OperationalError
from django.http import Http404

from api.errors import problem_response
from logbook.common.errors import (
    ConflictError,
    DomainError,
    InvalidInputError,
    NotAllowedError,
    NotFoundError,
)
from logbook.core.errors import QuantityError
from tests.api.callers import Caller, problem_of
from tests.builders import Bench


@pytest.mark.parametrize(
    ("error", "status", "code"),
    [
        (InvalidInputError.of("value", "no", given="x"), 400, "invalid_input"),
        (DomainError("no"), 400, "domain_error"),
        (NotFoundError("no"), 404, "not_found"),
        (NotAllowedError("no"), 403, "not_allowed"),
        (ConflictError("no"), 409, "conflict"),
        (QuantityError("no", given="x", where="value"), 400, "unreadable_quantity"),
        (Http404("inside"), 404, "not_found"),
        (PermissionDenied("inside"), 403, "not_allowed"),
        (IntegrityError("inside"), 409, "conflict"),
        (OperationalError("inside"), 503, "unavailable"),
        (OperationalError("database or disk is full"), 507, "disk_full"),
        (OSError(errno.ENOSPC, "No space left on device"), 507, "disk_full"),
        (OSError(errno.EIO, "inside"), 500, "internal_error"),
        (ZeroDivisionError("inside"), 500, "internal_error"),
    ],
    ids=lambda value: type(value).__name__ if isinstance(value, Exception) else "",
)
def test_it_gives_each_error_its_status_and_code(error: Exception, status: int, code: str):
    response = problem_response(error, {})
    assert (response.status_code, response.data["code"]) == (status, code)
    assert "inside" not in str(response.data)


def test_it_asks_to_come_back_when_nothing_could_be_stored():
    assert problem_response(OperationalError("disk full"), {}).headers["Retry-After"] == "2"


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (b'{"value": ', "JSON"),
        (b"", "missing"),
        (b'{"value": NaN}', "NaN"),
        (b'{"value": -Infinity}', "Infinity"),
        (b'{"note": "\xff"}', "UTF-8"),
        (b"[" * 100_000, "nested"),
        (b'{"conditions":' * 50_000, "nested"),
        (b'"text"', "object"),
        (b"3", "object"),
        (b"null", "object"),
    ],
    ids=[
        "cut off",
        "empty",
        "nan",
        "infinity",
        "latin-1",
        "deep lists",
        "deep objects",
        "text",
        "number",
        "null",
    ],
)
def test_it_refuses_what_is_no_request(script: Caller, body: bytes, says: str):
    assert says in problem_of(script.post("measurements/", body), 400)["detail"]


@pytest.mark.parametrize("number", ["1e999999999", "9" * 5_000, "1e999", "-" + "9" * 45, "0." + "1" * 80])
def test_it_refuses_a_number_of_impossible_size_alone(script: Caller, bench: Bench, number: str):
    item = '{"project": "tern", "board": "0001", "key": "%s", "note": "n", "value": %s}'
    body = f"[{item % ('a', number)}, {item % ('b', '3.3')}]"
    answer = script.post("measurements/", body.encode()).json()
    assert [one["status"] for one in answer["results"]] == ["rejected", "stored"]
    assert answer["results"][0]["problem"]["problems"][0]["field"] == "value"


def test_it_refuses_a_body_that_is_too_large(script: Caller, settings: Any):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000
    problem = problem_of(script.post("measurements/", {"note": "x" * 2_000}), 413)
    assert problem["code"] == "too_large"


def test_it_reads_no_forms(script: Caller):
    headers = {"Authorization": f"Bearer {script.secret}"}
    response = script.client.post("/api/v1/measurements/", {"value": "1"}, headers=headers)
    problem_of(response, 415)


def test_it_speaks_json_only(script: Caller):
    headers = {"Authorization": f"Bearer {script.secret}", "Accept": "text/csv"}
    problem_of(script.client.get("/api/v1/projects/", headers=headers), 406)


def test_it_names_the_method_it_does_not_know(script: Caller):
    response = script.delete("projects/tern/")
    problem_of(response, 405)
    assert "PATCH" in response.headers["Allow"]


@pytest.mark.parametrize("address", ["/api/", "/api/v1/nothing/", "/api/v2/projects/", "/api/v1/projects"])
@pytest.mark.parametrize("method", ["GET", "POST", "DELETE"])
def test_it_answers_an_unknown_address_with_a_problem(script: Caller, address: str, method: str):
    problem_of(script.client.generic(method, address), 404)


def test_it_hints_at_a_missing_slash(script: Caller):
    assert "ends with /" in problem_of(script.client.get("/api/v1/projects"), 404)["detail"]


def test_it_keeps_the_inside_of_a_fault_to_itself(script: Caller, monkeypatch: Any, caplog: Any):
    def fail(*_args: object, **_kwargs: object) -> None:
        raise ZeroDivisionError("a secret path")

    monkeypatch.setattr("api.v1.projects.projects_visible_to", fail)
    problem = problem_of(script.get("projects/"), 500)
    assert "secret" not in str(problem)
    assert "a secret path" in caplog.text


def test_it_limits_callers_without_a_token_and_says_when_to_come_back(bench: Bench, monkeypatch: Any):
    monkeypatch.setattr("api.throttling.AnonymousRate.rate", "2/min")
    address = "calculations/quantity/?text=3.3 V"
    statuses = [Caller("").get(address).status_code for _ in range(3)]
    assert statuses == [200, 200, 429]
    response = Caller("").get(address)
    problem_of(response, 429)
    assert int(response.headers["Retry-After"]) > 0


def test_it_does_not_limit_a_token(script: Caller, monkeypatch: Any):
    monkeypatch.setattr("api.throttling.AnonymousRate.rate", "1/min")
    assert {script.get("calculations/quantity/?text=3.3 V").status_code for _ in range(3)} == {200}


def test_it_flattens_nested_shapes_to_dotted_names(owner: Caller):
    body = {"name": "dmm", "kind": "meter", "ranges": [{"name": "10 V", "unit": "V", "full_scale": [1]}]}
    problem = problem_of(owner.post("instruments/", body), 400)
    assert problem["problems"][0]["field"] == "ranges.0.full_scale"
    assert problem["problems"][0]["given"] == "[1]"


def test_it_lists_the_words_that_are_allowed(owner: Caller):
    body = {"key": "X", "name": "x", "kind": "magic"}
    problem = problem_of(owner.post("projects/tern/subsystems/", body), 400)
    assert problem["problems"][0]["given"] == "magic"
    assert "power" in problem["problems"][0]["allowed"]
