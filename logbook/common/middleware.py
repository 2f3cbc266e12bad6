"""Gives every request a name, and notes how it was answered: one log line, two counts."""

from __future__ import annotations

import re
import time
import uuid
from collections.abc import Callable
from typing import Final

import structlog
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils.functional import LazyObject, empty

from logbook.common import metrics

HEADER: Final = "X-Request-ID"
# Bounded and without line ends or quotes: it comes from outside and goes into the log.
_ACCEPTED = re.compile(r"[A-Za-z0-9._-]{1,64}")
METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})

logger = structlog.stdlib.get_logger("logbook.request")


class RequestRecordMiddleware:
    """Takes or makes the id of a request, answers with it, and records route, status and duration."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request; every line logged meanwhile carries its id."""
        given = request.headers.get(HEADER, "")
        request_id = given if _ACCEPTED.fullmatch(given) else uuid.uuid4().hex
        begun = time.perf_counter()
        with structlog.contextvars.bound_contextvars(request_id=request_id):
            response = self.get_response(request)
            _record(request, response.status_code, time.perf_counter() - begun)
        response[HEADER] = request_id
        return response


def _record(request: HttpRequest, status: int, seconds: float) -> None:
    method = request.method if request.method in METHODS else "other"
    route = route_of(request)
    metrics.REQUESTS.labels(method, route, str(status)).inc()
    metrics.REQUEST_SECONDS.labels(method, route).observe(seconds)
    logger.info(
        "request",
        method=method,
        route=route,
        status=status,
        ms=round(seconds * 1000, 1),
        user=_user_id(request),
    )


def route_of(request: HttpRequest) -> str:
    """Return the template of the address, which names no project and holds nothing that was sent."""
    if request.resolver_match is not None:
        return f"/{request.resolver_match.route}"
    return "static" if request.path.startswith(settings.STATIC_URL) else "unmatched"


def _user_id(request: HttpRequest) -> int | None:
    """Return who asked, as far as it was found out anyway; no query."""
    user = vars(request).get("user")
    if isinstance(user, LazyObject) and user.__dict__.get("_wrapped", empty) is empty:
        return None
    return getattr(user, "pk", None)
