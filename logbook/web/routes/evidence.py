"""Addresses of evidence: files, analyses of captures, readings taken from them."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views.evidence import detail, files, listing, recording

EVIDENCE = "p/<str:slug>/evidence/"
ONE = f"{EVIDENCE}<int:number>/"

urlpatterns: list[URLPattern] = [
    path(EVIDENCE, listing.evidence_list, name="evidence-list"),
    path("p/<str:slug>/evidence.csv", listing.evidence_csv, name="evidence-csv"),
    path(f"{EVIDENCE}new/", listing.evidence_create, name="evidence-create"),
    path(ONE, detail.evidence_detail, name="evidence-detail"),
    path(f"{ONE}edit/", detail.evidence_edit, name="evidence-edit"),
    path(f"{ONE}content/", files.evidence_content, name="evidence-content"),
    path(f"{ONE}original/", files.evidence_original, name="evidence-original"),
    path(f"{ONE}picture/<str:suffix>", files.evidence_content, name="evidence-picture"),
    path(f"{ONE}view/", files.evidence_view, name="evidence-view"),
    path(f"{ONE}state/", files.evidence_state, name="evidence-state"),
    path(f"{ONE}analyses/", detail.evidence_analyse, name="evidence-analyse"),
    path(f"{ONE}analyses/<int:analysis>/record/", recording.evidence_record, name="evidence-record"),
    path(f"{ONE}readings/<int:link>/compare/", detail.evidence_compare, name="evidence-compare"),
]
