"""Addresses of the search."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import search

urlpatterns: list[URLPattern] = [
    path("search/", search.search_page, name="search"),
    path("search.csv", search.search_csv, name="search-csv"),
]
