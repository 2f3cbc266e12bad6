"""The connectors of a project, and what each board really has on one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.boards.queries import ConnectorTruth, boards_of, connector_truths
from logbook.evidence.choices import PlacingKind
from logbook.evidence.models import Placing
from logbook.evidence.queries.pictures import places_of
from logbook.projects.models import Connector, ConnectorPin
from logbook.projects.queries import connector_of, connectors_of, pins_of
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.connectors import ALWAYS, ConnectorFilter, holds_word
from logbook.web.rendering import csv_answer, show

HEADER = (
    "connector", "name", "subsystem", "place", "what_one_sees", "pin_1", "mates_with", "cable", "caution",
)  # fmt: skip


@dataclass(frozen=True)
class ConnectorListPage:
    """What the list of connectors shows."""

    page: ProjectPage
    connectors: Sequence[Connector]
    filter: forms.Form
    is_filtered: bool


@dataclass(frozen=True)
class PinTable:
    """One table of pins in force: of which revision, and while which option is where."""

    revision: str
    holds: str
    says: str
    pins: Sequence[ConnectorPin]


@dataclass(frozen=True)
class ConnectorPage:
    """What the page of a connector shows."""

    page: ProjectPage
    connector: Connector
    truths: Sequence[ConnectorTruth]
    groups: Sequence[Sequence[ConnectorTruth]]
    tables: Sequence[PinTable]
    places: Sequence[Placing]


@signed_in
@require_safe
def connector_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the connectors of a project."""
    frame = project_page(request, slug)
    form, rows = _asked_for(request, frame)
    is_filtered = any(request.GET.get(name) for name in form.fields)
    return show(request, "connectors/list.html", ConnectorListPage(frame, rows, form, is_filtered))


@signed_in
@require_safe
def connector_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the same list as a table."""
    frame = project_page(request, slug)
    _, rows = _asked_for(request, frame)
    lines = [
        (
            row.key,
            row.name,
            row.subsystem.key,
            row.place,
            row.physical,
            row.pin_1,
            row.mates_with,
            row.cable,
            row.caution,
        )
        for row in rows
    ]
    return csv_answer(f"{slug}-connectors.csv", HEADER, lines)


def _asked_for(request: HttpRequest, frame: ProjectPage) -> tuple[forms.Form, list[Connector]]:
    form = ConnectorFilter(request.GET)
    given = form.cleaned_data if form.is_valid() else {}
    rows = connectors_of(frame.project, text=given.get("q", ""), subsystem=given.get("subsystem", ""))
    return form, list(rows)


@signed_in
@require_safe
def connector_detail(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Show a connector: what one sees, what each board has on it, and what its pins carry."""
    frame = project_page(request, slug)
    connector = connector_of(frame.project, key)
    truths = connector_truths(list(boards_of(frame.project)), [connector])
    context = ConnectorPage(
        page=frame,
        connector=connector,
        truths=truths,
        groups=_alike(truths),
        tables=_tables(pins_of([connector])),
        places=list(places_of(frame.project, PlacingKind.CONNECTOR, connector.key)),
    )
    return show(request, "connectors/detail.html", context)


def _alike(truths: Sequence[ConnectorTruth]) -> list[list[ConnectorTruth]]:
    """Put boards that carry the same together, the most common first."""
    groups: dict[tuple[tuple[str, ...], ...], list[ConnectorTruth]] = defaultdict(list)
    for found in truths:
        if found.pins:
            groups[found.carries].append(found)
    return sorted(groups.values(), key=lambda group: (-len(group), group[0].board.serial))


def _tables(pins: Iterable[ConnectorPin]) -> list[PinTable]:
    by_table: dict[tuple[str, str, str], list[ConnectorPin]] = defaultdict(list)
    for pin in pins:
        position = pin.position
        holds = holds_word(position.option.key, position.name) if position else ALWAYS
        says = f"while {position.option} is at {position}" if position else "always"
        by_table[pin.revision.label, holds, says].append(pin)
    return [PinTable(*table, rows) for table, rows in by_table.items()]
