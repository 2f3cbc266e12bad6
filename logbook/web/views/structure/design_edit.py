"""Adding and changing subsystems, revisions and options."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from logbook.bench.commands import set_position_by_design
from logbook.projects.commands import (
    add_option,
    add_revision,
    add_subsystem,
    change_option,
    change_revision,
    change_subsystem,
)
from logbook.projects.commands.options import position_named
from logbook.projects.queries import newest_revision_of, option_of, revision_of, revisions_of, subsystem_of
from logbook.web.access import actor_of, project_page, signed_in
from logbook.web.forms.design import (
    OptionChangeForm,
    OptionForm,
    RevisionForm,
    SubsystemForm,
    position_in,
)
from logbook.web.forms.fields import sent
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])
REVISION_FACTS = (
    "summary",
    "drawn_on",
    "ordered_on",
    "power_input",
    "polarity",
    "current_limit",
    "idle_current",
    "never_connect",
)


@signed_in
@FORM
def subsystem_create(request: HttpRequest, slug: str) -> HttpResponse:
    """Add a subsystem."""
    frame = project_page(request, slug, may="edit")
    form = SubsystemForm(sent(request), project=frame.project)
    back = reverse("project-detail", args=[slug])

    def save(given: dict[str, Any]) -> Saved:
        subsystem = add_subsystem(actor=actor_of(request), project=frame.project, **given)
        return Saved(f"Subsystem {subsystem} is there.", back)

    lead = "A part of the design with a job of its own: a rail, a memory, an audio path."
    return answer_form(request, FormPage(frame, form, "New subsystem", lead, "Add it", back), save)


@signed_in
@FORM
def subsystem_edit(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Change a subsystem and what it depends on."""
    frame = project_page(request, slug, may="edit")
    subsystem = subsystem_of(frame.project, key)
    initial = {
        "name": subsystem.name,
        "kind": subsystem.kind,
        "purpose": subsystem.purpose,
        "depends_on": [need.depends_on.key for need in subsystem.dependencies.all()],
    }
    form = SubsystemForm(sent(request), initial=initial, project=frame.project, subsystem=subsystem)
    back = reverse("project-detail", args=[slug])

    def save(given: dict[str, Any]) -> Saved:
        depends_on = given.pop("depends_on", None)
        change_subsystem(actor=actor_of(request), subsystem=subsystem, values=given, depends_on=depends_on)
        return Saved(f"Subsystem {subsystem} is changed.", back)

    return answer_form(request, FormPage(frame, form, f"Change {subsystem}", "", "Save", back), save)


@signed_in
@FORM
def revision_create(request: HttpRequest, slug: str) -> HttpResponse:
    """Add a revision, drawn from the newest unless told otherwise."""
    frame = project_page(request, slug, may="edit")
    newest = newest_revision_of(frame.project)
    initial = {"parent": newest.label} if newest else {}
    form = RevisionForm(sent(request), initial=initial, project=frame.project, is_new=True)
    back = reverse("project-detail", args=[slug])

    def save(given: dict[str, Any]) -> Saved:
        label, parent = given.pop("label"), given.pop("parent")
        revision = add_revision(
            actor=actor_of(request), project=frame.project, label=label, parent=parent, values=given
        )
        return Saved(f"Revision {revision} is there.", back)

    lead = "One state of the design, and how a board of it is powered."
    return answer_form(request, FormPage(frame, form, "New revision", lead, "Add it", back), save)


@signed_in
@FORM
def revision_edit(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Change what is said of a revision. Its label and parent stay: evidence hangs on them."""
    frame = project_page(request, slug, may="edit")
    revision = revision_of(frame.project, label)
    initial = {name: getattr(revision, name) for name in REVISION_FACTS}
    form = RevisionForm(sent(request), initial=initial, project=frame.project, is_new=False)
    back = reverse("project-detail", args=[slug])

    def save(given: dict[str, Any]) -> Saved:
        change_revision(actor=actor_of(request), revision=revision, values=given)
        return Saved(f"Revision {revision} is changed.", back)

    title = f"Change revision {revision}"
    return answer_form(request, FormPage(frame, form, title, "", "Save", back), save)


@signed_in
@FORM
def option_create(request: HttpRequest, slug: str) -> HttpResponse:
    """Add an option with its positions."""
    frame = project_page(request, slug, may="edit")
    form = OptionForm(sent(request), project=frame.project)

    def save(given: dict[str, Any]) -> Saved:
        option = add_option(actor=actor_of(request), project=frame.project, **given)
        says = f"Option {option} is there. Say where it is by design."
        return Saved(says, reverse("option-edit", args=[slug, option.key]))

    back = reverse("project-detail", args=[slug])
    lead = "A strap, jumper or fit choice the design left open."
    return answer_form(request, FormPage(frame, form, "New option", lead, "Add it", back), save)


@signed_in
@FORM
def option_edit(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Change an option, and where it is by design on each revision."""
    frame = project_page(request, slug, may="edit")
    option = option_of(frame.project, key)
    revisions = list(revisions_of(frame.project).reverse())
    initial = {"name": option.name, "note": option.note}
    form = OptionChangeForm(sent(request), initial=initial, option=option, revisions=revisions)
    back = reverse("project-detail", args=[slug])

    def save(given: dict[str, Any]) -> Saved:
        actor = actor_of(request)
        values = {"name": given["name"], "note": given["note"]}
        change_option(actor=actor, option=option, values=values, new_positions=given["positions"])
        for revision, choice in form.designed(revisions):
            position = position_named(option, position_in(choice), field=f"on_{revision.pk}")
            set_position_by_design(actor=actor, revision=revision, option=option, position=position)
        return Saved(f"Option {option} is changed.", back)

    lead = "Where it is by design decides which readings count as designed."
    return answer_form(request, FormPage(frame, form, f"Change option {option}", lead, "Save", back), save)
