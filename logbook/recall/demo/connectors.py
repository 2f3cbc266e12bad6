"""Connectors, what became of options, and what was checked after a rework: entries that say so."""

from __future__ import annotations

from logbook.bench.commands import attach_to_rework, recheck_rework
from logbook.bench.queries.lists import measurements_of_target, target_of
from logbook.boards.models import Rework
from logbook.boards.queries import rework_named
from logbook.evidence.models import Evidence
from logbook.findings.commands import link_rework
from logbook.findings.queries import finding_named
from logbook.projects.commands import (
    PinInput,
    add_connector,
    change_connector,
    decide_option,
    leave_option_open,
    record_ordered_position,
    set_pins,
)
from logbook.projects.commands.options import position_named
from logbook.projects.queries import connector_of, option_named
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry


def connectors(cast: Cast, entry: Entry) -> None:
    """Add connectors as one sees them."""
    for row in entry.says["connectors"]:
        says = dict(row)
        (subsystem,) = cast.subsystems(entry, [says.pop("subsystem")])
        add_connector(
            actor=cast.actor(entry),
            project=cast.project(entry),
            subsystem=subsystem,
            key=says.pop("key"),
            name=says.pop("name"),
            values=says,
        )


def changed_connector(cast: Cast, entry: Entry) -> None:
    """Change what is said of a connector."""
    says = dict(entry.says)
    connector = connector_of(cast.project(entry), says.pop("key"))
    change_connector(actor=cast.actor(entry), connector=connector, values=says)


def pins(cast: Cast, entry: Entry) -> None:
    """Say what the pins of a connector carry, always or while an option is in one position."""
    says = entry.says
    position = None
    if "option" in says:
        option = option_named(cast.project(entry), says["option"])
        position = position_named(option, says["position"])
    set_pins(
        actor=cast.actor(entry),
        connector=connector_of(cast.project(entry), says["key"]),
        revision=cast.revision(entry, says["label"]),
        pins=[PinInput(*row) for row in says["pins"]],
        position=position,
    )


def decided_option(cast: Cast, entry: Entry) -> None:
    """Decide an option for a revision; null means not fitted."""
    says = entry.says
    option = option_named(cast.project(entry), says["option"])
    decide_option(
        actor=cast.actor(entry),
        revision=cast.revision(entry, says["label"]),
        option=option,
        position=position_named(option, says["position"]),
        because=says["because"],
    )


def option_left_open(cast: Cast, entry: Entry) -> None:
    """Leave an option open on purpose."""
    says = entry.says
    leave_option_open(
        actor=cast.actor(entry),
        revision=cast.revision(entry, says["label"]),
        option=option_named(cast.project(entry), says["option"]),
        because=says["because"],
    )


def ordered_positions(cast: Cast, entry: Entry) -> None:
    """Say with which positions a revision was ordered; null means not fitted."""
    for key, position in entry.says["positions"].items():
        option = option_named(cast.project(entry), key)
        record_ordered_position(
            actor=cast.actor(entry),
            revision=cast.revision(entry, entry.says["label"]),
            option=option,
            position=position_named(option, position),
            note=entry.says["note"],
        )


def recheck(cast: Cast, entry: Entry) -> None:
    """Check a rework after it was done, by the newest reading of a target or by what was seen."""
    rework = _rework(cast, entry)
    reading = None
    if "target" in entry.says:
        target = target_of(cast.project(entry), entry.says["target"])
        readings = measurements_of_target(target).filter(board=rework.board, withdrawn_at__isnull=True)
        reading = readings.latest("taken_at")
    note = entry.says.get("note", "")
    recheck_rework(actor=cast.actor(entry), rework=rework, measurement=reading, note=note)


def rework_links(cast: Cast, entry: Entry) -> None:
    """Say because of which finding a rework was done, and which file shows it."""
    rework = _rework(cast, entry)
    if "finding" in entry.says:
        finding = finding_named(cast.project(entry), entry.says["finding"])
        link_rework(actor=cast.actor(entry), finding=finding, rework=rework)
    if "file" in entry.says:
        kept = Evidence.objects.get(project=cast.project(entry), name=entry.says["file"])
        attach_to_rework(actor=cast.actor(entry), rework=rework, evidence=kept)


def _rework(cast: Cast, entry: Entry) -> Rework:
    return rework_named(cast.board(entry), entry.says["rework"])
