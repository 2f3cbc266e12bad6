"""The address people reach the site at."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest


def site_address(request: HttpRequest) -> str:
    """Return it without a slash at its end: the one that was set, else that of the request."""
    return settings.LOGBOOK_PUBLIC_URL or request.build_absolute_uri("/").rstrip("/")
