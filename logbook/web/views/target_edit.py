"""Adding a target, changing how it is planned, and issuing it anew."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from logbook.bench.commands import add_target, change_target, issue_target
from logbook.bench.models import Target, TargetIssue
from logbook.bench.queries.lists import target_of
from logbook.bench.queries.versions import version_of
from logbook.calculations.queries import calculation_of
from logbook.common.errors import ChangedMeanwhileError, DomainError
from logbook.projects.models import Project
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.fields import add_problems, show_as_seen
from logbook.web.forms.targets import IssueForm, NewTargetForm, PlannedForm, asked_from, asked_of, planned_of
from logbook.web.rendering import show
from logbook.web.views.bench_now import asks_of


@dataclass(frozen=True)
class TargetFormPage:
    """What the forms of a target show; without ``target`` it is a new one."""

    page: ProjectPage
    form: forms.Form
    target: Target | None
    back: str
    has_subsystems: bool


@dataclass(frozen=True)
class TargetIssuePage:
    """What the form of a new issue shows: what stands now, and how many readings it would touch."""

    page: ProjectPage
    form: forms.Form
    target: Target
    back: str
    current: TargetIssue
    asks: str
    readings: int


@signed_in
def target_create(request: HttpRequest, slug: str) -> HttpResponse:
    """Add a target with its first issue."""
    page = project_page(request, slug, may="edit")
    form = NewTargetForm(
        request.POST or None, initial=_from_calculation(request, page.project), project=page.project
    )
    if request.method == "POST" and form.is_valid():
        target = _added(request, page.project, form)
        if target is not None:
            messages.success(request, f"{target.key} is a target now.")
            return redirect("target-detail", slug, target.key)
    back = reverse("target-list", args=[slug])
    has_subsystems = page.project.subsystems.exists()
    return show(
        request,
        "targets/form.html",
        TargetFormPage(page, form, None, back, has_subsystems),
        status=400 if form.errors else 200,
    )


def _added(request: HttpRequest, project: Project, form: NewTargetForm) -> Target | None:
    values = form.values()
    try:
        return add_target(
            actor=actor_of(request),
            project=project,
            subsystem=values.pop("subsystem"),
            key=form.cleaned_data["key"],
            name=values.pop("name"),
            asked=form.asked(),
            prerequisites=form.cleaned_data["prerequisites"],
            values=values,
        )
    except DomainError as error:
        add_problems(form, error)
        return None


@signed_in
def target_edit(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Change how a target is planned. What it asks changes by a new issue only."""
    page = project_page(request, slug, may="edit")
    target = target_of(page.project, key)
    initial = planned_of(target) | {"seen": version_of(target)}
    form = PlannedForm(request.POST or None, initial=initial, project=page.project)
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            change_target(
                actor=actor_of(request),
                target=target,
                values=form.values(),
                prerequisites=form.cleaned_data["prerequisites"],
                seen=form.cleaned_data["seen"],
            )
        except DomainError as error:
            status = _refused(form, error, target)
        else:
            return redirect("target-detail", slug, key)
    back = reverse("target-detail", args=[slug, key])
    return show(
        request,
        "targets/form.html",
        TargetFormPage(page, form, target, back, has_subsystems=True),
        status=max(status, 400) if form.errors else 200,
    )


def _refused(form: forms.Form, error: DomainError, target: Target) -> int:
    """Show why nothing was stored; what was typed stays, and may be sent again once the change was seen."""
    add_problems(form, error)
    if not isinstance(error, ChangedMeanwhileError):
        return 400
    show_as_seen(form, version_of(target))
    return 409


@signed_in
def target_issue(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Issue a target anew, with a reason. Stored verdicts stay readable."""
    page = project_page(request, slug, may="edit")
    target = target_of(page.project, key)
    current = list(target.issues.all())[-1]
    initial = asked_of(current) | _from_calculation(request, page.project) | {"seen": version_of(target)}
    status = 200
    form = IssueForm(request.POST or None, initial=initial, project=page.project)
    if request.method == "POST" and form.is_valid():
        try:
            issue = issue_target(
                actor=actor_of(request),
                target=target,
                asked=form.asked(),
                reason=form.cleaned_data["reason"],
                seen=form.cleaned_data["seen"],
            )
        except DomainError as error:
            status = _refused(form, error, target)
        else:
            messages.success(request, _what_it_changes(issue))
            return redirect("target-detail", slug, key)
    context = TargetIssuePage(
        page=page,
        form=form,
        target=target,
        back=reverse("target-detail", args=[slug, key]),
        current=current,
        asks=asks_of(current),
        readings=target.measurements.filter(withdrawn_at__isnull=True).count(),
    )
    return show(request, "targets/issue.html", context, status=max(status, 400) if form.errors else 200)


def _from_calculation(request: HttpRequest, project: Project) -> dict[str, Any]:
    """Return what the form shows when the page of a calculation leads here."""
    key = request.GET.get("calculation", "")
    return asked_from(calculation_of(project, key), request.GET.get("band", "")) if key else {}


def _what_it_changes(issue: TargetIssue) -> str:
    if issue.changes_more_than_limits:
        return f"Issue {issue.number} changes more than the limits: older readings no longer count."
    return f"Issue {issue.number} changes only limits: older readings are judged by it from now on."
