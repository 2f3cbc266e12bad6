"""Order records: deciding to order or not, what was answered then, and the day of ordering."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from logbook.common import clock
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.planning.commands import place_order, record_order
from logbook.planning.models import Order
from logbook.planning.queries import RevisionReadiness, readiness_of
from logbook.planning.queries.orders import order_of
from logbook.projects.models import Revision
from logbook.projects.queries import revision_of
from logbook.web.access import ProjectPage, actor_of, person, project_page, signed_in
from logbook.web.forms.fields import add_problems, sent
from logbook.web.forms.orders import OrderForm, PlacingForm
from logbook.web.rendering import show
from logbook.web.reviewing import opened_revision
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])
PLAIN = (
    "decision",
    "conditions",
    "name",
    "decided_on",
    "ordered_on",
    "files_sha256",
    "note",
    "although_missing",
)


@dataclass(frozen=True)
class OrderFormPage:
    """What the page shows on which a person decides to order or not."""

    page: ProjectPage
    revision: Revision
    form: OrderForm
    found: RevisionReadiness
    back: str


@dataclass(frozen=True)
class OrderPage:
    """What the page of an order record shows."""

    page: ProjectPage
    revision: Revision
    order: Order


@signed_in
@FORM
def order_create(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Ask the questions before ordering and record what was decided."""
    page, revision, back = _opened(request, slug, label)
    today = timezone.localtime(clock.now()).date()
    initial = {"name": person(request).get_username(), "decided_on": today}
    form = OrderForm(sent(request), project=page.project, initial=initial)
    order = _recorded(request, revision, form) if form.is_bound and form.is_valid() else None
    if order is not None:
        messages.success(request, f"{order.decision} is on record for revision {label}.")
        return redirect("order-detail", slug, label, order.pk)
    context = OrderFormPage(page, revision, form, readiness_of(revision), back)
    return show(request, "revisions/order_form.html", context)


def _recorded(request: HttpRequest, revision: Revision, form: OrderForm) -> Order | None:
    """Record the order; what the command refuses is shown at its field."""
    given = {name: form.cleaned_data[name] for name in PLAIN}
    files = list(form.cleaned_data["file_set"])
    try:
        return record_order(
            actor=actor_of(request), revision=revision, answers=form.answers(), files=files, **given
        )
    except (ConflictError, InvalidInputError) as error:
        add_problems(form, error)
        return None


@require_safe
@signed_in
def order_detail(request: HttpRequest, slug: str, label: str, number: int) -> HttpResponse:
    """Show one order record as it was made."""
    page, revision = opened_revision(request, slug, label)
    return show(request, "revisions/order.html", OrderPage(page, revision, order_of(revision, number)))


@signed_in
@FORM
def order_placed(request: HttpRequest, slug: str, label: str, number: int) -> HttpResponse:
    """Note the day an order was placed."""
    page, revision, _ = _opened(request, slug, label)
    order = order_of(revision, number)
    back = reverse("order-detail", args=[slug, label, number])
    form: forms.Form = PlacingForm(sent(request))

    def save(given: dict[str, Any]) -> Saved:
        place_order(actor=actor_of(request), order=order, ordered_on=given["ordered_on"])
        return Saved(f"Revision {label} is ordered.", back)

    lead = "It stays: an order that was placed is never taken back here."
    shown = FormPage(page, form, f"Revision {label} is ordered", lead, "Note the day", back)
    return answer_form(request, shown, save)


def _opened(request: HttpRequest, slug: str, label: str) -> tuple[ProjectPage, Revision, str]:
    """Return frame and revision for an editor, and the address of readiness."""
    page = project_page(request, slug, may="edit", door="next-spin")
    revision = revision_of(page.project, label)
    page = ProjectPage(page.project, page.role, page.door, revision)
    return page, revision, reverse("readiness", args=[slug, label])
