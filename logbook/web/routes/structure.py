"""Addresses of signing in, the account, projects, boards and what a design is made of."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import health

urlpatterns: list[URLPattern] = [
    path("healthz/", health.healthz, name="healthz"),
]
