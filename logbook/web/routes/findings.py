"""Addresses of findings and of the erratum sheets."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views.findings import detail, editing, errata, listing

FINDINGS = "p/<slug:slug>/findings/"
ONE = f"{FINDINGS}<str:key>/"

urlpatterns: list[URLPattern] = [
    path(FINDINGS, listing.finding_list, name="finding-list"),
    path("p/<slug:slug>/findings.csv", listing.findings_csv, name="findings-csv"),
    path(f"{FINDINGS}new/", editing.finding_create, name="finding-create"),
    path(ONE, detail.finding_detail, name="finding-detail"),
    path(f"{ONE}edit/", editing.finding_edit, name="finding-edit"),
    path(f"{ONE}moves/", detail.finding_move, name="finding-move"),
    path(f"{ONE}evidence/", editing.finding_evidence, name="finding-evidence"),
    path("p/<slug:slug>/rev/<str:label>/errata/", errata.erratum_sheet, name="erratum-sheet"),
    path("p/<slug:slug>/rev/<str:label>/errata.pdf", errata.erratum_pdf, name="erratum-pdf"),
]
