"""Turns the errors of the site's rules into pages. The only place of ``web`` that does so."""

from __future__ import annotations

import logging
from collections.abc import Callable

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

from logbook.common.errors import (
    ConflictError,
    DomainError,
    FieldProblem,
    NotAllowedError,
    NotFoundError,
)
from logbook.common.faults import DISK_FULL, UNAVAILABLE, is_disk_full
from logbook.core.errors import CoreError

logger = logging.getLogger(__name__)
NEXT_STEPS = {
    400: "Go back, change what is named above and send it again.",
    403: "An owner of the project can give you another role on its members page.",
    404: "Check the address; what is not shared with you is not shown either.",
    409: "Load the page again to see what is recorded now.",
}


class DomainErrorMiddleware:
    """Answers with an error page that says what was given, what is allowed and what to do next."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on; errors come back through ``process_exception``."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """Return the page of an error of ours; anything else stays a fault of the site."""
        if isinstance(exception, CoreError):
            where = exception.where or "input"
            exception = DomainError(
                exception.message,
                problems=[FieldProblem(where, exception.message, exception.given, exception.allowed)],
            )
        if is_disk_full(exception):
            return fault_page(507, "The disk of the site is full", DISK_FULL)
        if isinstance(exception, OperationalError):
            return fault_page(503, "The database did not answer", UNAVAILABLE)
        if not isinstance(exception, DomainError):
            return None
        return error_page(request, _status_of(exception), exception)


def _status_of(error: DomainError) -> int:
    if isinstance(error, NotFoundError):
        return 404
    if isinstance(error, NotAllowedError):
        return 403
    return 409 if isinstance(error, ConflictError) else 400


def error_page(request: HttpRequest, status: int, error: DomainError) -> HttpResponse:
    """Render the page of an error."""
    context = {
        "message": _sentence(error.message),
        "problems": error.problems,
        "next_step": NEXT_STEPS[status],
    }
    return render(request, f"errors/{status}.html", context, status=status)


def fault_page(status: int, title: str, message: str) -> HttpResponse:
    """Log a fault below the site and return its page, which asks neither database nor session."""
    logger.error("%s", title, exc_info=True)
    context = {"title": title, "message": _sentence(message)}
    return HttpResponse(render_to_string("errors/503.html", context), status=status)


def _sentence(message: str) -> str:
    text = message[:1].upper() + message[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."
