"""Addresses of the change list."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import changes

R = "p/<slug:slug>/rev/<str:label>/"

urlpatterns: list[URLPattern] = [
    path(f"{R}changes/", changes.change_list, name="revision-changes"),
    path(f"{R}changes.csv", changes.changes_csv, name="changes-csv"),
    path(f"{R}changes/new/", changes.change_create, name="change-create"),
    path(f"{R}changes/<str:key>/edit/", changes.change_edit, name="change-edit"),
    path(f"{R}changes/<str:key>/withdraw/", changes.change_withdraw, name="change-withdraw"),
    path(f"{R}carry-overs/new/", changes.carry_over_create, name="carry-over-create"),
    path(f"{R}carry-overs/<str:key>/withdraw/", changes.carry_over_withdraw, name="carry-over-withdraw"),
]
