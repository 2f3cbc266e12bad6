"""Addresses of the review pages: coverage, open risks, instruments, calculators."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import bench_plan, calculators, instruments, revisions, risks

urlpatterns: list[URLPattern] = [
    path("p/<slug:slug>/rev/<str:label>/", revisions.revision_detail, name="revision-detail"),
    path("p/<slug:slug>/rev/<str:label>/risks/", risks.risk_list, name="risk-list"),
    path("p/<slug:slug>/rev/<str:label>/bench-plan/", bench_plan.bench_plan, name="bench-plan"),
    path("p/<slug:slug>/rev/<str:label>/bench-plan.csv", bench_plan.bench_plan_csv, name="bench-plan-csv"),
    path("p/<slug:slug>/rev/<str:label>/coverage.csv", revisions.coverage_csv, name="coverage-csv"),
    path("p/<slug:slug>/rev/<str:label>/risks.csv", risks.risks_csv, name="risks-csv"),
    path("p/<slug:slug>/next-spin/", risks.next_spin, name="next-spin"),
    path("instruments/", instruments.instrument_list, name="instrument-list"),
    path("instruments.csv", instruments.instrument_csv, name="instrument-csv"),
    path("instruments/new/", instruments.instrument_create, name="instrument-create"),
    path("instruments/<str:name>/", instruments.instrument_detail, name="instrument-detail"),
    path("instruments/<str:name>/edit/", instruments.instrument_edit, name="instrument-edit"),
    path(
        "instruments/<str:name>/calibrations/new/",
        instruments.calibration_create,
        name="calibration-create",
    ),
    path("calculators/", calculators.calculator_list, name="calculator-list"),
    path("calculators/conventions/", calculators.conventions, name="calculator-conventions"),
    path("calculators/verdict/", calculators.verdict, name="calculator-verdict"),
    path("calculators/uncertainty/", calculators.uncertainty, name="calculator-uncertainty"),
    path("calculators/quantity/", calculators.quantity, name="calculator-quantity"),
    path("calculators/preferred-value/", calculators.preferred_value, name="calculator-preferred-value"),
    path("calculators/sample/", calculators.sample, name="calculator-sample"),
    path("calculators/attribute/", calculators.attribute, name="calculator-attribute"),
]
