"""Addresses of readiness to order, of order records and of the bring-up plan."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import bring_up, orders, readiness

R = "p/<slug:slug>/rev/<str:label>/"

urlpatterns: list[URLPattern] = [
    path(f"{R}readiness/", readiness.readiness, name="readiness"),
    path(f"{R}readiness.csv", readiness.readiness_csv, name="readiness-csv"),
    path(f"{R}bring-up/", bring_up.bring_up_plan, name="bring-up-plan"),
    path(f"{R}bring-up.csv", bring_up.bring_up_csv, name="bring-up-csv"),
    path(f"{R}orders/new/", orders.order_create, name="order-create"),
    path(f"{R}orders/<int:number>/", orders.order_detail, name="order-detail"),
    path(f"{R}orders/<int:number>/placed/", orders.order_placed, name="order-placed"),
]
