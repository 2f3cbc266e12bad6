"""Adding and changing connectors and what their pins carry."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from logbook.common.errors import InvalidInputError
from logbook.projects.commands import add_connector, change_connector, set_pins
from logbook.projects.commands.options import position_named
from logbook.projects.models import Connector, OptionPosition, Project
from logbook.projects.queries import connector_of, newest_revision_of, option_named, pins_of
from logbook.web.access import actor_of, project_page, signed_in
from logbook.web.forms.connectors import ALWAYS, ConnectorForm, PinsForm, holds_word, pins_as_text
from logbook.web.forms.fields import sent
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])
SAID = ("name", "subsystem", "place", "physical", "pin_1", "mates_with", "cable", "caution")


@signed_in
@FORM
def connector_create(request: HttpRequest, slug: str) -> HttpResponse:
    """Add a connector."""
    frame = project_page(request, slug, may="edit")
    form = ConnectorForm(sent(request), project=frame.project, is_new=True)

    def save(given: dict[str, Any]) -> Saved:
        subsystem, key, name = (given.pop(field) for field in ("subsystem", "key", "name"))
        connector = add_connector(
            actor=actor_of(request),
            project=frame.project,
            subsystem=subsystem,
            key=key,
            name=name,
            values=given,
        )
        says = f"Connector {connector} is there. Say what its pins carry."
        return Saved(says, reverse("connector-pins", args=[slug, connector.key]))

    back = reverse("connector-list", args=[slug])
    lead = "What one sees. What is electrically on it, its pins say."
    return answer_form(request, FormPage(frame, form, "New connector", lead, "Add it", back), save)


@signed_in
@FORM
def connector_edit(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Change what is said of a connector."""
    frame = project_page(request, slug, may="edit")
    connector = connector_of(frame.project, key)
    initial = {name: getattr(connector, name) for name in SAID} | {"subsystem": connector.subsystem.key}
    form = ConnectorForm(sent(request), initial=initial, project=frame.project, is_new=False)
    back = reverse("connector-detail", args=[slug, key])

    def save(given: dict[str, Any]) -> Saved:
        change_connector(actor=actor_of(request), connector=connector, values=given)
        return Saved(f"Connector {connector} is changed.", back)

    return answer_form(request, FormPage(frame, form, f"Change {connector}", "", "Save", back), save)


@signed_in
@FORM
def connector_pins(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Give a revision a table of pins, always or while an option is in one position."""
    frame = project_page(request, slug, may="edit")
    connector = connector_of(frame.project, key)
    form = PinsForm(sent(request), initial=_initial(request, connector), project=frame.project)
    back = reverse("connector-detail", args=[slug, key])

    def save(given: dict[str, Any]) -> Saved:
        try:
            set_pins(
                actor=actor_of(request),
                connector=connector,
                revision=given["revision"],
                pins=given["pins"],
                position=_position(frame.project, given["holds"]),
            )
        except InvalidInputError as error:
            raise _at_the_table(error) from error
        return Saved(f"The pins of {connector} on {given['revision']} are recorded.", back)

    lead = "The whole table; it takes the place of the one before, which stays on record."
    return answer_form(
        request, FormPage(frame, form, f"Pins of {connector}", lead, "Record them", back), save
    )


def _initial(request: HttpRequest, connector: Connector) -> dict[str, str]:
    """Return the table the address names, to be changed; of the newest revision where it names none."""
    newest = newest_revision_of(connector.project)
    label = request.GET.get("revision") or (newest.label if newest else "")
    holds = request.GET.get("holds", ALWAYS)
    standing = [
        pin
        for pin in pins_of([connector])
        if pin.revision.label == label
        and holds == (holds_word(pin.position.option.key, pin.position.name) if pin.position else ALWAYS)
    ]
    return {"revision": label, "holds": holds, "pins": pins_as_text(standing)}


def _position(project: Project, holds: str) -> OptionPosition | None:
    if holds in {"", ALWAYS}:
        return None
    key, _, name = holds.partition("|")
    return position_named(option_named(project, key, field="holds"), name, field="holds")


def _at_the_table(error: InvalidInputError) -> InvalidInputError:
    """Say what is wrong with a line at the field the lines were typed into."""
    problems = [replace(one, field="pins") if one.field.startswith("pins") else one for one in error.problems]
    return InvalidInputError(error.message, problems=problems)
