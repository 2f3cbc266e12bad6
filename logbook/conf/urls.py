"""Addresses of the site."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/", include("api.urls")),
    path("", include("logbook.web.urls")),
]

handler400 = "logbook.web.views.errors.bad_request"
handler403 = "logbook.web.views.errors.not_allowed"
handler404 = "logbook.web.views.errors.not_found"
handler500 = "logbook.web.views.errors.failed"
