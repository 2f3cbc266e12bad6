"""One picture, what is placed on it, and placing more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from logbook.common.errors import ConflictError, InvalidInputError
from logbook.evidence.commands import place, withdraw_picture, withdraw_placing
from logbook.evidence.models import BoardPicture, Placing
from logbook.evidence.queries import is_shown, picture_problem
from logbook.evidence.queries.pictures import (
    others_of_side,
    picture_numbered,
    placing_numbered,
    placings_on,
)
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.changes import WithdrawalForm
from logbook.web.forms.fields import add_problems, sent
from logbook.web.forms.pictures import PlacingForm
from logbook.web.picture_marks import Mark, Shown, marks_of, shown_size
from logbook.web.rendering import show
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])


@dataclass(frozen=True)
class PicturePage:
    """What the page of a picture shows."""

    page: ProjectPage
    picture: BoardPicture
    shown: Shown
    is_shown: bool
    problem: str
    marks: Sequence[Mark]
    form: PlacingForm | None
    others: Sequence[BoardPicture]


@signed_in
@FORM
def picture_detail(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Show a picture with what is placed on it, or place something."""
    page = project_page(request, slug, may="record" if request.method == "POST" else "read")
    picture = picture_numbered(page.project, number)
    may_place = page.may_record and picture.withdrawn_at is None
    asked = {"what": request.GET.get("what", "")}
    form = PlacingForm(sent(request), initial=asked, project=page.project) if page.may_record else None
    if request.method == "POST" and form is not None and form.is_valid():
        placed = _placed(request, picture, form)
        if placed is not None:
            messages.success(request, f"{placed} is placed.")
            return redirect(f"{reverse('picture-detail', args=[slug, number])}?placing={placed.pk}")
    ready = is_shown(picture.evidence)
    context = PicturePage(
        page=ProjectPage(page.project, page.role, "next-spin", picture.revision),
        picture=picture,
        shown=shown_size(picture),
        is_shown=ready,
        problem="" if ready else picture_problem(picture.evidence),
        marks=marks_of(picture, placings_on(picture), named=request.GET.get("placing", "")),
        form=form if may_place else None,
        others=list(others_of_side(picture)),
    )
    return show(request, "pictures/detail.html", context, status=400 if form and form.errors else 200)


def _placed(request: HttpRequest, picture: BoardPicture, form: PlacingForm) -> Placing | None:
    kind, key = form.kind_and_key()
    at = _clicked(request, picture) or _typed(form)
    if at is None:
        form.add_error(None, "Click on the picture, or type both numbers of the place.")
        return None
    try:
        return place(
            actor=actor_of(request),
            picture=picture,
            kind=kind,
            key=key,
            text=form.cleaned_data["text"],
            x=at[0],
            y=at[1],
        )
    except (InvalidInputError, ConflictError) as error:
        add_problems(form, error)
        return None


def _clicked(request: HttpRequest, picture: BoardPicture) -> tuple[float, float] | None:
    """Return where an image button was clicked; pressing Enter on one sends 0, 0."""
    given = request.POST.get("at.x", ""), request.POST.get("at.y", "")
    if not all(one.isdecimal() and len(one) < 6 for one in given):
        return None
    x, y = (int(one) for one in given)
    shown = shown_size(picture)
    return (x / shown.width, y / shown.height) if x or y else None


def _typed(form: PlacingForm) -> tuple[float, float] | None:
    x, y = form.cleaned_data["x"], form.cleaned_data["y"]
    return (x / 100, y / 100) if x is not None and y is not None else None


@signed_in
@FORM
def placing_withdraw(request: HttpRequest, slug: str, number: int, placing: int) -> HttpResponse:
    """Take a placing back."""
    page = project_page(request, slug, may="record", door="next-spin")
    picture = picture_numbered(page.project, number)
    found = placing_numbered(picture, placing)
    back = reverse("picture-detail", args=[slug, number])

    def save(given: dict[str, Any]) -> Saved:
        withdraw_placing(actor=actor_of(request), placing=found, because=given["because"])
        return Saved(f"{found} is no longer placed there.", back)

    form = WithdrawalForm(sent(request))
    lead = "To move it, withdraw it and place it anew."
    return answer_form(request, FormPage(page, form, f"Withdraw {found}", lead, "Withdraw it", back), save)


@signed_in
@FORM
def picture_withdraw(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Take a picture back."""
    page = project_page(request, slug, may="edit", door="next-spin")
    picture = picture_numbered(page.project, number)
    back = reverse("revision-pictures", args=[slug, picture.revision.label])

    def save(given: dict[str, Any]) -> Saved:
        withdraw_picture(actor=actor_of(request), picture=picture, because=given["because"])
        return Saved("The picture is withdrawn.", back)

    form = WithdrawalForm(sent(request))
    lead = "What is placed on it is placed nowhere then. The file itself stays."
    shown = FormPage(page, form, f"Withdraw the {picture}", lead, "Withdraw it", back)
    return answer_form(request, shown, save)
