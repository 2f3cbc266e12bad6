"""Deciding rows of the open-risk list, and targets that do not apply."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from logbook.common.errors import InvalidInputError
from logbook.core.risk import Decision, SubjectKind
from logbook.planning.commands import (
    decide_not_applicable,
    decide_risks,
    withdraw_disposition,
    withdraw_not_applicable,
)
from logbook.planning.queries import RiskRow, disposition_of, open_risks_of
from logbook.planning.queries.applicability import not_applicable_of
from logbook.planning.queries.boards_to_test import why_nothing_can_be_tested
from logbook.planning.queries.decided_before import DecidedBefore, decided_before
from logbook.projects.models import Revision
from logbook.projects.queries import revision_of
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.changes import WithdrawalForm
from logbook.web.forms.dispositions import DispositionForm, NotApplicableForm
from logbook.web.forms.fields import add_problems, sent
from logbook.web.rendering import show
from logbook.web.risk_rows import name_of, subject_named
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])


@dataclass(frozen=True)
class DecidePage:
    """What the page shows on which marked rows are decided."""

    page: ProjectPage
    revision: Revision
    form: forms.Form
    rows: tuple[tuple[str, RiskRow], ...]
    before: Sequence[DecidedBefore]
    untestable: str
    gone: tuple[str, ...]
    has_grave: bool
    back: str


def _opened(request: HttpRequest, slug: str, label: str) -> tuple[ProjectPage, Revision, str]:
    """Return frame and revision for an editor, and the address of the list."""
    page = project_page(request, slug, may="edit", door="next-spin")
    revision = revision_of(page.project, label)
    page = ProjectPage(page.project, page.role, page.door, revision)
    return page, revision, reverse("risk-list", args=[slug, label])


@signed_in
@FORM
def risk_decide(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show the marked rows with a form; sent back with a decision, record it for all of them."""
    page, revision, back = _opened(request, slug, label)
    names = list(dict.fromkeys(request.POST.getlist("row") or request.GET.getlist("row")))
    if not names:
        messages.error(request, "Mark the rows to decide first.")
        return redirect(back)
    # The list sends its marks by POST too, because hundreds of them are too long for an address.
    form = DispositionForm(request.POST if "reason" in request.POST else None, revision=revision)
    if form.is_bound and form.is_valid() and _decided(request, revision, names, form):
        count = "1 row is" if len(names) == 1 else f"{len(names)} rows are"
        messages.success(request, f"{count} decided: {form.cleaned_data['decision']}.")
        if form.cleaned_data["decision"] == Decision.TEST_FIRST and (
            why := why_nothing_can_be_tested(revision)
        ):
            messages.warning(request, why)
        return redirect(back)
    rows, gone = _marked(revision, names)
    has_grave = any(row.is_grave for _, row in rows)
    before = _before(page, rows[0][1]) if len(rows) == 1 else ()
    untestable = why_nothing_can_be_tested(revision)
    context = DecidePage(page, revision, form, rows, before, untestable, gone, has_grave, back)
    return show(request, "revisions/risk_decide.html", context)


def _before(page: ProjectPage, row: RiskRow) -> Sequence[DecidedBefore]:
    return decided_before(page.project, SubjectKind(row.subject_kind), row.subject)


def _decided(request: HttpRequest, revision: Revision, names: Sequence[str], form: forms.Form) -> bool:
    """Record the decision; what the command refuses is shown at its field."""
    rows = [subject_named(name) for name in names]
    try:
        decide_risks(actor=actor_of(request), revision=revision, rows=rows, **form.cleaned_data)
    except InvalidInputError as error:
        add_problems(form, error)
        return False
    return True


def _marked(
    revision: Revision, names: Sequence[str]
) -> tuple[tuple[tuple[str, RiskRow], ...], tuple[str, ...]]:
    """Return the marked rows as they stand now, and the names of those that are gone meanwhile."""
    there = {name_of(row): row for row in open_risks_of(revision).rows}
    rows = tuple((name, there[name]) for name in names if name in there)
    return rows, tuple(subject_named(name).subject for name in names if name not in there)


@signed_in
@FORM
def disposition_withdraw(request: HttpRequest, slug: str, label: str, number: int) -> HttpResponse:
    """Withdraw a decision."""
    page, revision, back = _opened(request, slug, label)
    disposition = disposition_of(revision, number)
    form = WithdrawalForm(sent(request))

    def save(given: dict[str, Any]) -> Saved:
        withdraw_disposition(actor=actor_of(request), disposition=disposition, because=given["because"])
        return Saved(f"The decision on {disposition.subject} is withdrawn.", back)

    lead = f"{disposition.decision} {disposition.subject}: from now on it is undecided. Past days keep it."
    title = f"Withdraw the decision on {disposition.subject}"
    return answer_form(request, FormPage(page, form, title, lead, "Withdraw it", back), save)


@signed_in
@FORM
def not_applicable_create(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Decide that a target does not apply to the revision."""
    page, revision, back = _opened(request, slug, label)
    form = NotApplicableForm(sent(request), project=page.project)

    def save(given: dict[str, Any]) -> Saved:
        decided = decide_not_applicable(actor=actor_of(request), revision=revision, **given)
        return Saved(f"{decided.target} does not apply to {label}, in your name.", back)

    lead = f"It then counts for nothing on revision {label}; readings of it stay. Others still ask it."
    title = f"A target that does not apply to {label}"
    return answer_form(request, FormPage(page, form, title, lead, "Record it", back), save)


@signed_in
@FORM
def not_applicable_withdraw(request: HttpRequest, slug: str, label: str, key: str) -> HttpResponse:
    """Ask a target again."""
    page, revision, back = _opened(request, slug, label)
    decided = not_applicable_of(revision, key)
    form = WithdrawalForm(sent(request))

    def save(given: dict[str, Any]) -> Saved:
        withdraw_not_applicable(actor=actor_of(request), decided=decided, because=given["because"])
        return Saved(f"{key} is asked again on {label}.", back)

    shown = FormPage(page, form, f"Ask {key} again on {label}", "", "Ask it again", back)
    return answer_form(request, shown, save)
