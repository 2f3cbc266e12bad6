"""Creating and changing a project, its state and its members."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods

from logbook.accounts.queries import user_named
from logbook.common.errors import DomainError
from logbook.projects.choices import ProjectState, Role
from logbook.projects.commands import (
    change_project,
    create_project,
    remove_member,
    set_member,
    set_project_state,
)
from logbook.projects.models import Membership
from logbook.projects.queries import members_of
from logbook.web.access import ProjectPage, actor_of, person, project_page, signed_in
from logbook.web.forms.fields import add_problems, sent
from logbook.web.forms.projects import HOURS, MemberForm, ProjectForm, ProjectStateForm
from logbook.web.rendering import show
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

DESCRIPTION = ("name", "code", "purpose", "descends_from", "part_of", "shares_counts", *HOURS)


@dataclass(frozen=True)
class MembersPage:
    """What the members page shows."""

    page: ProjectPage
    members: Sequence[Membership]
    form: forms.Form
    roles: Sequence[tuple[str, str]]


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def project_create(request: HttpRequest) -> HttpResponse:
    """Create a project; who creates it owns it."""
    owner = person(request)
    form = ProjectForm(sent(request), person=owner)

    def save(given: dict[str, Any]) -> Saved:
        given["slug"] = given["slug"] or slugify(given["name"])
        project = create_project(actor=actor_of(request), owner=owner, **given)
        says = f"{project} is there. Its subsystems come next, then the first revision."
        return Saved(says, reverse("project-detail", args=[project.slug]))

    lead = "One product under development. Everything else hangs on it."
    shown = FormPage(None, form, "New project", lead, "Create it", reverse("project-list"))
    return answer_form(request, shown, save)


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def project_edit(request: HttpRequest, slug: str) -> HttpResponse:
    """Change what is said of a project."""
    frame = project_page(request, slug, may="edit")
    project = frame.project
    initial: dict[str, Any] = {name: getattr(project, name) for name in DESCRIPTION}
    initial |= {name: initial[name].slug for name in ("descends_from", "part_of") if initial[name]}
    initial["characteristics"] = " ".join(tag.name for tag in project.characteristics.all())
    form = ProjectForm(sent(request), initial=initial, person=person(request), project=project)
    back = reverse("project-detail", args=[slug])

    def save(given: dict[str, Any]) -> Saved:
        change_project(
            actor=actor_of(request),
            project=project,
            characteristics=given["characteristics"],
            values={name: given[name] for name in DESCRIPTION if name in given},
        )
        return Saved(f"{project} is changed.", back)

    return answer_form(request, FormPage(frame, form, f"Change {project}", "", "Save", back), save)


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def project_state(request: HttpRequest, slug: str) -> HttpResponse:
    """Record that the project became active, shelved or finished."""
    frame = project_page(request, slug, may="manage")
    form = ProjectStateForm(sent(request), initial={"state": frame.project.state})
    back = reverse("project-detail", args=[slug])

    def save(given: dict[str, Any]) -> Saved:
        event = set_project_state(actor=actor_of(request), project=frame.project, **given)
        if event.state == ProjectState.ACTIVE:
            return Saved(f"{frame.project} is {event.state}.", back)
        says = f"{frame.project} is {event.state}. Now write down what would otherwise be lost."
        return Saved(says, reverse("shelving-note", args=[slug]))

    lead = "Shelving is where knowledge is lost: write down what you would want to know on return."
    shown = FormPage(frame, form, f"State of {frame.project}", lead, "Record it", back)
    return answer_form(request, shown, save)


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def project_members(request: HttpRequest, slug: str) -> HttpResponse:
    """Show who belongs to the project; owners add, change and remove."""
    may = "manage" if request.method == "POST" else "read"
    frame = project_page(request, slug, may=may)
    form = MemberForm(sent(request))
    if request.method == "POST" and form.is_valid():
        try:
            says = _change_members(request, frame, form.cleaned_data)
        except DomainError as error:
            add_problems(form, error)
        else:
            messages.success(request, says)
            is_still_member = members_of(frame.project).filter(user=person(request)).exists()
            return redirect("project-members", slug) if is_still_member else redirect("project-list")
    context = MembersPage(frame, list(members_of(frame.project)), form, Role.choices)
    return show(request, "projects/members.html", context)


def _change_members(request: HttpRequest, frame: ProjectPage, given: dict[str, Any]) -> str:
    user = user_named(given["user"])
    if "remove" in request.POST:
        remove_member(actor=actor_of(request), project=frame.project, user=user)
        return f"{user} no longer belongs to {frame.project}."
    set_member(actor=actor_of(request), project=frame.project, user=user, role=given["role"])
    return f"{user} is {given['role']} of {frame.project}."
