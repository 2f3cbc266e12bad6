"""For those who watch the site: whether it is alive, whether it is ready, and what it counted."""

from __future__ import annotations

import hmac

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from logbook.common import metrics
from logbook.common.dependencies import dependencies_ready, is_used
from logbook.common.errors import NotFoundError

HERE = frozenset({"127.0.0.1", "::1"})
# Set by web servers in front: then the caller is not the one the connection comes from.
PASSED_ON = ("Forwarded", "X-Forwarded-For", "X-Forwarded-Proto", "X-Real-IP", "Via")


@require_safe
@never_cache
def healthz(request: HttpRequest) -> HttpResponse:
    """Answer ``ok`` while this process answers at all; a watcher that gets nothing restarts it."""
    return HttpResponse("ok", content_type="text/plain; charset=utf-8")


@require_safe
@never_cache
def readyz(request: HttpRequest) -> HttpResponse:
    """Say of each thing the site needs whether it is ready; 503 while one is not."""
    found = dependencies_ready()
    words = {name: _word(name, holds=holds) for name, holds in found.items()}
    return JsonResponse(words, status=200 if all(found.values()) else 503)


def _word(name: str, *, holds: bool) -> str:
    if not holds:
        return "not ready"
    return "ready" if is_used(name) else "not used"


@require_safe
@never_cache
def metrics_page(request: HttpRequest) -> HttpResponse:
    """Return the metrics to whoever has the token or, where none is set, to this machine. One query."""
    if not _may_read_metrics(request):
        message = f"there is no page at {request.path}"
        raise NotFoundError(message)
    return HttpResponse(metrics.exposition(), content_type=metrics.CONTENT_TYPE)


def _may_read_metrics(request: HttpRequest) -> bool:
    token = settings.LOGBOOK_METRICS_TOKEN
    if token:
        given = request.headers.get("Authorization", "")
        return hmac.compare_digest(given.encode(), f"Bearer {token}".encode())
    is_passed_on = settings.LOGBOOK_BEHIND_TLS or any(name in request.headers for name in PASSED_ON)
    return request.META.get("REMOTE_ADDR") in HERE and not is_passed_on
