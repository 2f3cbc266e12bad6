"""Recording a finding, changing what it says, and putting files with it."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from logbook.findings.commands import attach_to_finding, change_finding, record_finding
from logbook.findings.queries import finding_of, next_key
from logbook.web.access import actor_of, project_page, signed_in
from logbook.web.forms.fields import sent
from logbook.web.forms.findings import LISTS, EvidenceChoiceForm, FindingForm
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])
CHOSEN_BEFORE = ("found_on", "subsystem", "targets")
SAID = (
    "title", "subsystem", "what", "trigger", "workaround", "cause_family", "severity", "harm", "place",
    "side",
)  # fmt: skip


@signed_in
@FORM
def finding_create(request: HttpRequest, slug: str) -> HttpResponse:
    """Record a finding; the address may name board, subsystem and target."""
    frame = project_page(request, slug, may="record")
    initial = {name: request.GET[name] for name in CHOSEN_BEFORE if name in request.GET}
    initial |= {"key": next_key(frame.project)}
    if "targets" in initial:
        initial["targets"] = [initial["targets"]]  # type: ignore[assignment]
    form = FindingForm(sent(request), project=frame.project, initial=initial, is_new=True)

    def save(given: dict[str, Any]) -> Saved:
        direct = {
            name: given.pop(name) for name in ("key", "title", "subsystem", "found_on", "found_at", *LISTS)
        }
        finding = record_finding(actor=actor_of(request), project=frame.project, **direct, values=given)
        says = f"{finding} is recorded as suspected."
        return Saved(says, reverse("finding-detail", args=[slug, finding.key]))

    back = reverse("finding-list", args=[slug])
    lead = "Something wrong or surprising. Write down what you saw; cause and decision come later."
    return answer_form(request, FormPage(frame, form, "New finding", lead, "Record it", back), save)


@signed_in
@FORM
def finding_edit(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Change what a finding says; its state only moves."""
    frame = project_page(request, slug, may="record")
    finding = finding_of(frame.project, key)
    initial: dict[str, Any] = {name: getattr(finding, name) for name in SAID}
    initial["subsystem"] = finding.subsystem.key
    initial["targets"] = [one.key for one in finding.targets.all()]
    initial["revisions"] = [one.label for one in finding.revisions.all()]
    initial["boards"] = [one.serial for one in finding.boards.all()]
    form = FindingForm(sent(request), project=frame.project, initial=initial, is_new=False)
    back = reverse("finding-detail", args=[slug, key])

    def save(given: dict[str, Any]) -> Saved:
        lists = {name: list(given.pop(name)) for name in LISTS}
        change_finding(actor=actor_of(request), finding=finding, values=given, lists=lists)
        return Saved(f"{finding} is changed.", back)

    lead = "Old and new stay on record. Its state is changed on its page, step by step."
    return answer_form(request, FormPage(frame, form, f"Change {key}", lead, "Save", back), save)


@signed_in
@require_POST
def finding_evidence(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Put a file of the project with a finding."""
    frame = project_page(request, slug, may="record")
    finding = finding_of(frame.project, key)
    form = EvidenceChoiceForm(request.POST, project=frame.project)
    if form.is_valid():
        attach_to_finding(actor=actor_of(request), finding=finding, evidence=form.cleaned_data["evidence"])
    return redirect("finding-detail", slug, key)
