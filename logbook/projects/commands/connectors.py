"""Adding and describing connectors, and what their pins carry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from django.db import transaction

from logbook.common import clock
from logbook.common.changes import Actor, check_whole, note_change, store_changes, store_new
from logbook.common.errors import FieldProblem, InvalidInputError
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import (
    Connector,
    ConnectorPin,
    OptionPosition,
    Project,
    Revision,
    Subsystem,
)

MOST_PINS = 200


@dataclass(frozen=True)
class PinInput:
    """What one pin carries; ``level`` is what a meter would show, ``standard`` names the interface."""

    number: str
    name: str
    direction: str
    level: str = ""
    standard: str = ""


@transaction.atomic
def add_connector(
    *,
    actor: Actor,
    project: Project,
    subsystem: Subsystem,
    key: str,
    name: str,
    values: dict[str, Any] | None = None,
) -> Connector:
    """Add a connector of the design."""
    check_belongs("subsystem", subsystem, project)
    connector = Connector(project=project, subsystem=subsystem, key=key, name=name, **(values or {}))
    store_new(connector, actor=actor)
    return connector


@transaction.atomic
def change_connector(*, actor: Actor, connector: Connector, values: dict[str, Any]) -> Connector:
    """Change what is said of a connector; old and new stay on record."""
    check_belongs("subsystem", values.get("subsystem"), connector.project_id)
    store_changes(connector, values, actor=actor)
    return connector


@transaction.atomic
def set_pins(
    *,
    actor: Actor,
    connector: Connector,
    revision: Revision,
    pins: Sequence[PinInput],
    position: OptionPosition | None = None,
) -> list[ConnectorPin]:
    """Say what the pins carry on a revision, always or while an option is at ``position``.

    The table is given whole; the one before stays readable. Revisions drawn from this one have it too,
    until they get one of their own.
    """
    check_belongs("revision", revision, connector.project_id)
    check_belongs("position", position.option if position else None, connector.project_id)
    _check_numbers(pins)
    # Two tables given at once must not both stand.
    Connector.objects.select_for_update().get(pk=connector.pk)
    moment = clock.now()
    standing = ConnectorPin.objects.filter(
        connector=connector, revision=revision, position=position, replaced_at__isnull=True
    )
    before = _in_words(standing)
    standing.update(replaced_at=moment)
    rows = [
        ConnectorPin(
            connector=connector,
            revision=revision,
            position=position,
            order=order,
            recorded_at=moment,
            recorded_by=actor.user,
            **asdict(pin),
        )
        for order, pin in enumerate(pins)
    ]
    for index, row in enumerate(rows):
        _check_pin(index, row)
    ConnectorPin.objects.bulk_create(rows)
    where = f"pins on {revision}" + (f", {position.option} at {position}" if position else "")
    note_change(
        connector,
        action="changed",
        actor=actor,
        project_id=connector.project_id,
        fields={where: [before, _in_words(rows)]},
    )
    return rows


def _check_numbers(pins: Sequence[PinInput]) -> None:
    if len(pins) > MOST_PINS:
        raise InvalidInputError.of("pins", "too many pins", given=len(pins), allowed=f"up to {MOST_PINS}")
    seen: set[str] = set()
    for pin in pins:
        if pin.number in seen:
            raise InvalidInputError.of(
                "pins", f"pin {pin.number} is in the table twice", given=pin.number, allowed="each pin once"
            )
        seen.add(pin.number)


def _check_pin(index: int, row: ConnectorPin) -> None:
    """Check one pin; what is wrong is said of its line."""
    line = f"line {index + 1}"
    try:
        check_whole(row)
    except InvalidInputError as error:
        problems = [
            FieldProblem(
                f"pins.{index}.{one.field}", f"line {index + 1}, {one.field}: {one.message}", one.given
            )
            for one in error.problems
        ]
        raise InvalidInputError(f"{line}: {error.message}", problems=problems) from error


def _in_words(pins: Sequence[ConnectorPin] | Any) -> str:
    return "; ".join(f"{pin.number} {pin.name} {pin.direction} {pin.level}".rstrip() for pin in pins)
