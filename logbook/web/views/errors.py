"""Pages of the errors Django finds itself."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from logbook.common.errors import DomainError
from logbook.web.middleware import error_page


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Return the page of a request that cannot be read."""
    return error_page(request, 400, DomainError("this request cannot be read"))


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Return the page of something refused."""
    return error_page(request, 403, DomainError("you may not do this"))


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Return the page of an address that leads nowhere."""
    return error_page(request, 404, DomainError(f"there is no page at {request.path}"))


def failed(request: HttpRequest) -> HttpResponse:
    """Return the page of a fault of the site; it asks neither the database nor the session."""
    return HttpResponse(render_to_string("errors/500.html"), status=500)
