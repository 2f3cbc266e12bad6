"""Addresses of all pages."""

from __future__ import annotations

from django.urls import URLPattern

from logbook.web.routes import bench, calculations, changes, evidence, findings, review, structure

urlpatterns: list[URLPattern] = [
    *structure.urlpatterns,
    *bench.urlpatterns,
    *calculations.urlpatterns,
    *evidence.urlpatterns,
    *findings.urlpatterns,
    *changes.urlpatterns,
    *review.urlpatterns,
]
