"""Addresses of reports."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import reports

P = "p/<slug:slug>/"
ONE = f"{P}reports/<int:number>/"

urlpatterns: list[URLPattern] = [
    path(f"{P}reports/", reports.report_list, name="report-list"),
    path(ONE, reports.report_detail, name="report-detail"),
    path(f"{ONE}state/", reports.report_state, name="report-state"),
    path(f"{ONE}file/", reports.report_file, name="report-file"),
    path(f"{P}sessions/<int:number>/report/", reports.session_report, name="session-report"),
    path(f"{P}rev/<str:label>/report/", reports.revision_report, name="revision-report"),
    path(f"{P}look-back/report/", reports.brief_report, name="brief-report"),
]
