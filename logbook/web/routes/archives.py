"""Addresses of archives."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import archives

urlpatterns: list[URLPattern] = [
    path("p/<str:slug>/archive/", archives.archive_list, name="archive-list"),
    path("p/<str:slug>/archive/ask/", archives.archive_ask, name="archive-ask"),
    path("p/<str:slug>/archive/<int:number>.zip", archives.archive_file, name="archive-file"),
    path("archive/import/", archives.archive_import, name="archive-import"),
]
