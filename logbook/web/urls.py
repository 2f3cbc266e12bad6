"""Addresses of all pages."""

from __future__ import annotations

from django.urls import URLPattern

from logbook.web.routes import (
    archives,
    bench,
    bills,
    calculations,
    changes,
    dispositions,
    evidence,
    findings,
    labels,
    lessons,
    pictures,
    readiness,
    reports,
    review,
    search,
    structure,
)

urlpatterns: list[URLPattern] = [
    *archives.urlpatterns,
    *structure.urlpatterns,
    *bench.urlpatterns,
    *calculations.urlpatterns,
    *evidence.urlpatterns,
    *findings.urlpatterns,
    *labels.urlpatterns,
    *changes.urlpatterns,
    *bills.urlpatterns,
    *dispositions.urlpatterns,
    *lessons.urlpatterns,
    *pictures.urlpatterns,
    *readiness.urlpatterns,
    *reports.urlpatterns,
    *review.urlpatterns,
    *search.urlpatterns,
]
