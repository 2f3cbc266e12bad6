"""Whether the site is alive, for those who watch it."""

from __future__ import annotations

from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe


@require_safe
@never_cache
def healthz(request: HttpRequest) -> HttpResponse:
    """Answer ``ok`` once the database has answered."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()
    return HttpResponse("ok", content_type="text/plain; charset=utf-8")
