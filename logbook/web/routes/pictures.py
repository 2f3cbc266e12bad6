"""Addresses of board pictures: those of a revision, placing on one, and one laid over another."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views.pictures import adding, drawing, overlay, placing, revision

REVISION = "p/<slug:slug>/rev/<str:label>/pictures"
PICTURE = "p/<slug:slug>/pictures/<int:number>/"
OVER = f"{PICTURE}over/<int:other>/"
DRAWING = "p/<slug:slug>/drawings/<int:number>/"

urlpatterns: list[URLPattern] = [
    path(f"{REVISION}/", revision.revision_pictures, name="revision-pictures"),
    path(f"{REVISION}.csv", revision.placings_csv, name="placings-csv"),
    path(f"{REVISION}/photo/", adding.photo_add, name="picture-photo"),
    path(f"{REVISION}/gerber/", adding.gerber_add, name="picture-gerber"),
    path(DRAWING, drawing.drawing_detail, name="drawing-detail"),
    path(f"{DRAWING}state/", drawing.drawing_state, name="drawing-state"),
    path(PICTURE, placing.picture_detail, name="picture-detail"),
    path(f"{PICTURE}withdraw/", placing.picture_withdraw, name="picture-withdraw"),
    path(f"{PICTURE}placings/<int:placing>/withdraw/", placing.placing_withdraw, name="placing-withdraw"),
    path(OVER, overlay.overlay_detail, name="picture-over"),
    path(f"{OVER}points/", overlay.overlay_points, name="picture-points"),
    path(f"{OVER}laid-over.webp", overlay.laid_over_image, name="picture-laid-over"),
    path(f"{OVER}difference.webp", overlay.difference_image, name="picture-difference"),
]
