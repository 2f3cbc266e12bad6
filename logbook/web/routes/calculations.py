"""Addresses of tolerance stack-ups: calculators, and calculations kept on a project."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views.calculations import calculators, saved

LIST = "p/<str:slug>/calculations"
ONE = f"{LIST}/<str:key>"

urlpatterns: list[URLPattern] = [
    path("calculators/tolerance/", calculators.tolerance, name="calculator-tolerance"),
    path("calculators/divider/", calculators.divider, name="calculator-divider"),
    path("calculators/ready-made/", calculators.ready_made_list, name="calculator-ready-made-list"),
    path("calculators/ready-made/<str:key>/", calculators.ready_made, name="calculator-ready-made"),
    path(f"{LIST}/", saved.calculation_list, name="calculation-list"),
    path(f"{LIST}.csv", saved.calculations_csv, name="calculations-csv"),
    path(f"{LIST}/new/", saved.calculation_create, name="calculation-create"),
    path(f"{ONE}/", saved.calculation_detail, name="calculation-detail"),
    path(f"{ONE}/edit/", saved.calculation_edit, name="calculation-edit"),
    path(f"{ONE}/limits/", saved.calculation_limits, name="calculation-limits"),
    path(f"{ONE}/targets/<str:target>/", saved.calculation_take, name="calculation-take"),
]
