"""Addresses of labels, and the short one in their QR codes."""

from __future__ import annotations

from django.urls import URLPattern, path, re_path

from logbook.web.views import labels

P = "p/<str:slug>/"
BOARD = f"{P}boards/<str:serial>/"

urlpatterns: list[URLPattern] = [
    # In capital letters a QR code needs fewer modules; people type small ones.
    re_path(r"^[Bb]/(?P<code>.+?)/?$", labels.code_page, name="label-code"),
    path("b/", labels.code_page, name="label-typed"),
    path(f"{P}labels/", labels.label_list, name="label-list"),
    path(f"{P}labels/sheets/", labels.label_sheet, name="label-sheet"),
    path(f"{P}labels.pdf", labels.label_pdf, name="label-pdf"),
    path(f"{BOARD}label.png", labels.label_png, name="board-label"),
    path(f"{BOARD}connectors/<str:key>/label.png", labels.label_png, name="connector-label"),
]
