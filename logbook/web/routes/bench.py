"""Addresses of the bench: boards in hand, sittings, targets, readings, and looking back."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import (
    check_templates,
    imports,
    look_back,
    measurements,
    sessions,
    target_edit,
    targets,
)
from logbook.web.views.bench_door import bench_csv, bench_door
from logbook.web.views.bench_page import bench_page
from logbook.web.views.bench_record import bench_record
from logbook.web.views.structure.shelving import shelving_note

PROJECT = "p/<slug:slug>"
TARGET = f"{PROJECT}/targets/<str:key>"

urlpatterns: list[URLPattern] = [
    path(f"{PROJECT}/bench/", bench_door, name="bench-door"),
    path(f"{PROJECT}/bench.csv", bench_csv, name="bench-csv"),
    path(f"{PROJECT}/bench/<str:serial>/", bench_page, name="bench-page"),
    path(f"{PROJECT}/bench/<str:serial>/record/", bench_record, name="bench-record"),
    path(f"{PROJECT}/sessions/", sessions.session_list, name="session-list"),
    path(f"{PROJECT}/sessions.csv", sessions.sessions_csv, name="sessions-csv"),
    path(f"{PROJECT}/sessions/new/", sessions.session_create, name="session-create"),
    path(f"{PROJECT}/sessions/<int:number>/", sessions.session_detail, name="session-detail"),
    path(f"{PROJECT}/sessions/<int:number>/edit/", sessions.session_edit, name="session-edit"),
    path(f"{PROJECT}/sessions/<int:number>/close/", sessions.session_close, name="session-close"),
    path(f"{PROJECT}/targets/", targets.target_list, name="target-list"),
    path(f"{PROJECT}/targets.csv", targets.targets_csv, name="targets-csv"),
    path(f"{PROJECT}/targets/new/", target_edit.target_create, name="target-create"),
    path(f"{TARGET}/", targets.target_detail, name="target-detail"),
    path(f"{TARGET}/edit/", target_edit.target_edit, name="target-edit"),
    path(f"{TARGET}/issue/", target_edit.target_issue, name="target-issue"),
    path(
        f"{PROJECT}/check-templates/", check_templates.targets_from_templates, name="targets-from-templates"
    ),
    path(f"{PROJECT}/check-templates.csv", check_templates.check_templates_csv, name="check-templates-csv"),
    path(f"{PROJECT}/measurements/", measurements.measurement_list, name="measurement-list"),
    path(f"{PROJECT}/measurements.csv", measurements.measurements_csv, name="measurements-csv"),
    path(f"{PROJECT}/measurements/<int:number>/", measurements.measurement_detail, name="measurement-detail"),
    path(
        f"{PROJECT}/measurements/<int:number>/withdraw/",
        measurements.measurement_withdraw,
        name="measurement-withdraw",
    ),
    path(f"{PROJECT}/import/", imports.csv_import, name="csv-import"),
    path(f"{PROJECT}/look-back/", look_back.look_back, name="look-back"),
    path(f"{PROJECT}/shelving-note/", shelving_note, name="shelving-note"),
]
