"""Addresses of the search and of the timeline."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import search, timeline

urlpatterns: list[URLPattern] = [
    path("search/", search.search_page, name="search"),
    path("search.csv", search.search_csv, name="search-csv"),
    path("p/<slug:slug>/timeline/", timeline.timeline, name="timeline"),
    path("p/<slug:slug>/timeline.csv", timeline.timeline_csv, name="timeline-csv"),
]
