"""Reading connectors and their tables of pins."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from django.db.models import Q, QuerySet

from logbook.common.errors import NotFoundError
from logbook.projects.models import Connector, ConnectorPin, Project, Revision


def connectors_of(project: Project, *, text: str = "", subsystem: str = "") -> QuerySet[Connector]:
    """Return the connectors of a project by key; ``text`` is looked for in their words. One query."""
    rows = Connector.objects.filter(project=project).select_related("subsystem").order_by("key")
    if text:
        found = Q(key__icontains=text) | Q(name__icontains=text) | Q(place__icontains=text)
        rows = rows.filter(found | Q(physical__icontains=text) | Q(mates_with__icontains=text))
    return rows.filter(subsystem__key=subsystem) if subsystem else rows


def connector_of(project: Project, key: str) -> Connector:
    """Return the connector with ``key``."""
    found = connectors_of(project).select_related("subsystem", "project").filter(key=key).first()
    if found is None:
        message = f"{project} has no connector {key!r}"
        raise NotFoundError(message)
    return found


@dataclass(frozen=True)
class PinTables:
    """What the pins of one connector carry on one revision: always, and by position of an option."""

    described_on: Revision | None = None
    always: Sequence[ConnectorPin] = ()
    by_position: Mapping[int, Sequence[ConnectorPin]] = field(default_factory=dict)

    @property
    def options(self) -> set[int]:
        """Return the ids of the options on which the pins depend."""
        rows = [pins[0] for pins in self.by_position.values()]
        return {row.position.option_id for row in rows if row.position}


def pins_of(connectors: Iterable[Connector]) -> QuerySet[ConnectorPin]:
    """Return the tables of pins in force, in the order of their lines. One query."""
    return (
        ConnectorPin.objects.filter(connector__in=list(connectors), replaced_at__isnull=True)
        .select_related("connector", "revision", "position__option", "recorded_by")
        .order_by("connector_id", "revision_id", "position_id", "order", "id")
    )


def pin_tables(pins: Iterable[ConnectorPin], line: Sequence[int]) -> dict[int, PinTables]:
    """Return the tables of each connector for the revision whose line is given, nearest first.

    A revision without a table of its own has the one of its nearest ancestor that has any.
    """
    by_connector: dict[int, dict[int, list[ConnectorPin]]] = defaultdict(lambda: defaultdict(list))
    for pin in pins:
        by_connector[pin.connector_id][pin.revision_id].append(pin)
    found = {}
    for connector_id, by_revision in by_connector.items():
        nearest = next((pk for pk in line if pk in by_revision), None)
        if nearest is not None:
            found[connector_id] = _tables(by_revision[nearest])
    return found


def _tables(pins: Sequence[ConnectorPin]) -> PinTables:
    by_position: dict[int, list[ConnectorPin]] = defaultdict(list)
    for pin in pins:
        if pin.position_id is not None:
            by_position[pin.position_id].append(pin)
    always = [pin for pin in pins if pin.position_id is None]
    return PinTables(pins[0].revision, always, dict(by_position))
