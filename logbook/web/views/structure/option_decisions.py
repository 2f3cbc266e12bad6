"""Deciding an option for a revision, leaving it open, and saying what was ordered."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from logbook.projects.choices import DecisionWord
from logbook.projects.commands import decide_option, leave_option_open, record_ordered_position
from logbook.projects.commands.options import position_named
from logbook.projects.models import Revision
from logbook.projects.queries import option_of
from logbook.web.access import actor_of, project_page, signed_in
from logbook.web.forms.design import position_in
from logbook.web.forms.fields import sent
from logbook.web.forms.option_decisions import OptionDecisionForm, OrderedPositionForm
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])


@signed_in
@FORM
def option_decide(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Decide an option for a revision, or leave it open on purpose."""
    frame = project_page(request, slug, may="edit")
    option = option_of(frame.project, key)
    initial = {"revision": request.GET.get("revision", "")}
    form = OptionDecisionForm(sent(request), initial=initial, option=option)

    def save(given: dict[str, Any]) -> Saved:
        actor, revision, because = actor_of(request), given["revision"], given["because"]
        if given["decision"] == DecisionWord.LEFT_OPEN:
            leave_option_open(
                actor=actor, revision=revision, option=option, because=because, until=given["until"]
            )
            return Saved(f"{option} is left open on {revision}.", _back(slug, revision))
        position = position_named(option, position_in(given["decision"]), field="decision")
        decide_option(actor=actor, revision=revision, option=option, position=position, because=because)
        return Saved(f"{option} is decided on {revision}.", _back(slug, revision))

    lead = "It stays on record. Later revisions keep it, until they get a decision of their own."
    back = reverse("option-list", args=[slug])
    return answer_form(request, FormPage(frame, form, f"Decide {option}", lead, "Record it", back), save)


@signed_in
@FORM
def option_order(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Record the position a revision was ordered with."""
    frame = project_page(request, slug, may="edit")
    option = option_of(frame.project, key)
    initial = {"revision": request.GET.get("revision", "")}
    form = OrderedPositionForm(sent(request), initial=initial, option=option)

    def save(given: dict[str, Any]) -> Saved:
        revision = given["revision"]
        position = position_named(option, position_in(given["position"]))
        record_ordered_position(
            actor=actor_of(request),
            revision=revision,
            option=option,
            position=position,
            note=given["note"],
        )
        return Saved(f"{option} as ordered for {revision} is recorded.", _back(slug, revision))

    lead = "What the order and its notes said. Boards are compared with it as they come."
    back = reverse("option-list", args=[slug])
    return answer_form(request, FormPage(frame, form, f"{option} as ordered", lead, "Record it", back), save)


def _back(slug: str, revision: Revision) -> str:
    return f"{reverse('option-list', args=[slug])}?revision={revision.label}"
