"""Addresses of decisions on open risks."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import dispositions

R = "p/<slug:slug>/rev/<str:label>/"

urlpatterns: list[URLPattern] = [
    path(f"{R}risks/decide/", dispositions.risk_decide, name="risk-decide"),
    path(
        f"{R}dispositions/<int:number>/withdraw/",
        dispositions.disposition_withdraw,
        name="disposition-withdraw",
    ),
    path(f"{R}not-applicable/new/", dispositions.not_applicable_create, name="not-applicable-create"),
    path(
        f"{R}not-applicable/<str:key>/withdraw/",
        dispositions.not_applicable_withdraw,
        name="not-applicable-withdraw",
    ),
]
