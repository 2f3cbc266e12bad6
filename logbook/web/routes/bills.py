"""Addresses of bills of materials and of the designators of subsystems."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views.bills import comparing, importing, page, proposing, rules

R = "p/<slug:slug>/rev/<str:label>/"
RULES = "p/<slug:slug>/designator-rules/"

urlpatterns: list[URLPattern] = [
    path(f"{R}bill/", page.bill_detail, name="bill-detail"),
    path(f"{R}bill.csv", page.bill_csv, name="bill-csv"),
    path(f"{R}bill/import/", importing.bill_import, name="bill-import"),
    path(f"{R}bill/compare/", comparing.bill_compare, name="bill-compare"),
    path(f"{R}bill/compare.csv", comparing.bill_compare_csv, name="bill-compare-csv"),
    path(f"{R}bill/proposed-changes/", proposing.bill_propose, name="bill-propose"),
    path(RULES, rules.designator_rules, name="designator-rules"),
    path(f"{RULES}<int:number>/remove/", rules.designator_rule_remove, name="designator-rule-remove"),
]
