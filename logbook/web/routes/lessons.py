"""Addresses of lessons: the site's list, one lesson, and what a revision is asked."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views.lessons import detail, editing, listing, review

REVISION = "p/<slug:slug>/rev/<str:label>/"

urlpatterns: list[URLPattern] = [
    path("lessons/", listing.lesson_list, name="lesson-list"),
    path("lessons.csv", listing.lessons_csv, name="lessons-csv"),
    path("lessons/new/", editing.lesson_create, name="lesson-create"),
    path("lessons/<str:key>/", detail.lesson_detail, name="lesson-detail"),
    path("lessons/<str:key>/edit/", editing.lesson_edit, name="lesson-edit"),
    path("lessons/<str:key>/moves/", detail.lesson_move, name="lesson-move"),
    path("lessons/<str:key>/target/", editing.lesson_target, name="lesson-target"),
    path(f"{REVISION}lessons/", review.lesson_review, name="lesson-review"),
    path(f"{REVISION}lessons.csv", review.review_csv, name="lesson-review-csv"),
    path(f"{REVISION}lessons/todays-eyes/", review.todays_eyes, name="todays-eyes"),
]
