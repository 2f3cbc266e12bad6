"""Turns every error into a problem of RFC 9457. Nothing else in the API chooses an error's status."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, OperationalError
from django.http import Http404, HttpRequest, JsonResponse
from rest_framework import exceptions
from rest_framework.response import Response

from logbook.common.errors import (
    ChangedMeanwhileError,
    ConflictError,
    DomainError,
    FieldProblem,
    NotAllowedError,
    NotFoundError,
)
from logbook.common.faults import DISK_FULL, UNAVAILABLE, is_disk_full
from logbook.core.errors import CoreError

MEDIA_TYPE = "application/problem+json"
LONGEST_GIVEN = 200
STATUS_OF: tuple[tuple[type[Exception], HTTPStatus], ...] = (
    (NotFoundError, HTTPStatus.NOT_FOUND),
    (NotAllowedError, HTTPStatus.FORBIDDEN),
    (ChangedMeanwhileError, HTTPStatus.PRECONDITION_FAILED),  # RFC 9110, 13.1.1
    (ConflictError, HTTPStatus.CONFLICT),
    (DomainError, HTTPStatus.BAD_REQUEST),
)
logger = logging.getLogger(__name__)


class TooLargeError(exceptions.APIException):
    """More was sent in one request than the API takes."""

    status_code = HTTPStatus.REQUEST_ENTITY_TOO_LARGE
    default_code = "too_large"


def problem(
    status: int, code: str, detail: str, problems: Iterable[FieldProblem] = (), instance: str = ""
) -> dict[str, Any]:
    """Return the one body every error has."""
    body: dict[str, Any] = {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": int(status),
        "detail": detail,
        "code": code,
        "problems": [
            {
                "field": "" if one.field == "__all__" else one.field,
                "message": one.message,
                "given": one.given,
                "allowed": one.allowed,
                "code": one.code,
            }
            for one in problems
        ],
    }
    if instance:
        body["instance"] = instance
    return body


def domain_problem(error: DomainError, instance: str = "") -> dict[str, Any]:
    """Return the problem of a rule of the site; also used for one item of a list."""
    status = next(status for kind, status in STATUS_OF if isinstance(error, kind))
    return problem(status, error.code, error.message, error.problems, instance)


def problem_response(error: Exception, context: dict[str, Any]) -> Response:
    """Answer any error raised in a view; what nobody foresaw is logged and told without its inside."""
    request = context.get("request")
    instance = request.path if request is not None else ""
    body = _body_of(error, instance)
    if body["status"] >= HTTPStatus.INTERNAL_SERVER_ERROR:
        logger.error("%s failed", instance, exc_info=error)
    return Response(body, status=body["status"], headers=_headers(error), content_type=MEDIA_TYPE)


def _body_of(error: Exception, instance: str) -> dict[str, Any]:
    if isinstance(error, DomainError):
        return domain_problem(error, instance)
    if isinstance(error, CoreError):
        field = FieldProblem(error.where, error.message, error.given, error.allowed, error.code)
        return problem(HTTPStatus.BAD_REQUEST, error.code, error.message, [field], instance)
    if isinstance(error, Http404):
        return problem(HTTPStatus.NOT_FOUND, "not_found", "there is nothing here", (), instance)
    if isinstance(error, PermissionDenied):
        return problem(HTTPStatus.FORBIDDEN, "not_allowed", "this is not allowed", (), instance)
    if isinstance(error, exceptions.APIException):
        return _framework_body(error, instance)
    return _storage_body(error, instance)


def _storage_body(error: Exception, instance: str) -> dict[str, Any]:
    if isinstance(error, IntegrityError):
        detail = "somebody else stored the same at the same moment; read it again"
        return problem(HTTPStatus.CONFLICT, "conflict", detail, (), instance)
    if is_disk_full(error):
        return problem(HTTPStatus.INSUFFICIENT_STORAGE, "disk_full", DISK_FULL, (), instance)
    if isinstance(error, OperationalError):
        return problem(HTTPStatus.SERVICE_UNAVAILABLE, "unavailable", UNAVAILABLE, (), instance)
    detail = "something went wrong here; the cause is in the site's own log"
    return problem(HTTPStatus.INTERNAL_SERVER_ERROR, "internal_error", detail, (), instance)


def _framework_body(error: exceptions.APIException, instance: str) -> dict[str, Any]:
    problems = list(_flattened(error.detail)) if isinstance(error, exceptions.ValidationError) else []
    detail = "; ".join(f"{one.field}: {one.message}" if one.field else one.message for one in problems)
    if isinstance(error.detail, exceptions.ErrorDetail):
        detail = str(error.detail)
    return problem(error.status_code, _code_of(error), detail, problems, instance)


def _code_of(error: exceptions.APIException) -> str:
    if isinstance(error, exceptions.ValidationError):
        return "invalid_input"
    return getattr(error.detail, "code", None) or error.default_code


def _flattened(detail: Any, path: str = "") -> Iterator[FieldProblem]:
    """Yield one problem a message, its field named with dots: ``ranges.0.unit``."""
    if isinstance(detail, dict):
        for name, below in detail.items():
            yield from _flattened(below, path if name == "non_field_errors" else _joined(path, name))
    elif isinstance(detail, list):
        for place, below in enumerate(detail):
            is_message = isinstance(below, exceptions.ErrorDetail)
            yield from _flattened(below, path if is_message else _joined(path, place))
    else:
        yield FieldProblem(path, str(detail), code=getattr(detail, "code", None) or "invalid")


def _joined(path: str, name: object) -> str:
    return f"{path}.{name}" if path else str(name)


def field_problems(error: exceptions.ValidationError) -> list[FieldProblem]:
    """Return the problems of a shape that was not kept."""
    return list(_flattened(error.detail))


def _headers(error: Exception) -> dict[str, str]:
    headers = {}
    if getattr(error, "auth_header", None):
        headers["WWW-Authenticate"] = error.auth_header  # type: ignore[attr-defined]
    if is_disk_full(error):
        headers["Retry-After"] = "60"
    elif isinstance(error, OperationalError):
        headers["Retry-After"] = "2"
    elif getattr(error, "wait", None):
        headers["Retry-After"] = str(int(error.wait) + 1)  # type: ignore[attr-defined]
    return headers


def unknown_address(request: HttpRequest) -> JsonResponse:
    """Answer any address below ``/api/`` that is none, whatever the method."""
    detail = f"there is nothing at {request.path[:LONGEST_GIVEN]}"
    if not request.path.endswith("/"):
        detail += "; every address of the API ends with /"
    body = problem(HTTPStatus.NOT_FOUND, "not_found", detail, (), request.path[:LONGEST_GIVEN])
    return JsonResponse(body, status=HTTPStatus.NOT_FOUND, content_type=MEDIA_TYPE)
