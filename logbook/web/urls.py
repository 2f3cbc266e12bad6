"""Addresses of all pages."""

from __future__ import annotations

from django.urls import URLPattern

from logbook.web.routes import bench, evidence, review, structure

urlpatterns: list[URLPattern] = [
    *structure.urlpatterns,
    *bench.urlpatterns,
    *evidence.urlpatterns,
    *review.urlpatterns,
]
