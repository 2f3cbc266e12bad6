"""People, projects and what a design is made of: the entries of the story that say so."""

from __future__ import annotations

from datetime import date
from typing import Any

from logbook.accounts.models import User
from logbook.bench.commands import add_target, set_position_by_design
from logbook.bench.commands.targets import Asked
from logbook.common import clock
from logbook.projects.commands import (
    add_option,
    add_revision,
    add_subsystem,
    change_revision,
    create_project,
    set_member,
    set_project_state,
)
from logbook.projects.commands.options import position_named
from logbook.projects.queries import option_named
from logbook.recall.demo import DEMO_PASSWORD
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry

DAYS = ("drawn_on", "ordered_on")


def people(cast: Cast, entry: Entry) -> None:
    """Let people of the demo sign in with its printed password."""
    for name, does in entry.says["people"].items():
        cast.people[name] = User.objects.create_user(
            name, password=DEMO_PASSWORD, last_name=does, date_joined=clock.now()
        )


def project(cast: Cast, entry: Entry) -> None:
    """Open a project with its owner and members."""
    says = dict(entry.says)
    members = says.pop("members")
    opened = create_project(actor=cast.actor(entry), owner=cast.people[entry.by], slug=entry.project, **says)
    cast.projects[entry.project] = opened
    for name, role in members.items():
        set_member(actor=cast.actor(entry), project=opened, user=cast.people[name], role=role)


def project_state(cast: Cast, entry: Entry) -> None:
    """Make the project active, shelved or finished."""
    set_project_state(actor=cast.actor(entry), project=cast.project(entry), **entry.says)


def subsystems(cast: Cast, entry: Entry) -> None:
    """Add the subsystems in the order given."""
    for row in entry.says["subsystems"]:
        add_subsystem(actor=cast.actor(entry), project=cast.project(entry), **row)


def revision(cast: Cast, entry: Entry) -> None:
    """Add a revision and how it is powered."""
    says = dict(entry.says)
    label, parent = says.pop("label"), says.pop("parent", "")
    add_revision(
        actor=cast.actor(entry),
        project=cast.project(entry),
        label=label,
        parent=cast.revision(entry, parent) if parent else None,
        values=_with_days(says),
    )


def changed_revision(cast: Cast, entry: Entry) -> None:
    """Change what a revision says of itself."""
    says = dict(entry.says)
    revision = cast.revision(entry, says.pop("label"))
    change_revision(actor=cast.actor(entry), revision=revision, values=_with_days(says))


def _with_days(values: dict[str, Any]) -> dict[str, Any]:
    return {name: date.fromisoformat(value) if name in DAYS else value for name, value in values.items()}


def options(cast: Cast, entry: Entry) -> None:
    """Add the options with what each position does."""
    for row in entry.says["options"]:
        (subsystem,) = cast.subsystems(entry, [row["subsystem"]])
        add_option(
            actor=cast.actor(entry),
            project=cast.project(entry),
            subsystem=subsystem,
            key=row["key"],
            name=row["name"],
            positions=list(row["positions"].items()),
            note=row.get("note", ""),
        )


def designed_positions(cast: Cast, entry: Entry) -> None:
    """Say in which position a revision wants each option; null means not fitted there."""
    revision = cast.revision(entry, entry.says["label"])
    for key, position in entry.says["positions"].items():
        option = option_named(cast.project(entry), key)
        set_position_by_design(
            actor=cast.actor(entry),
            revision=revision,
            option=option,
            position=position_named(option, position),
        )


def targets(cast: Cast, entry: Entry) -> None:
    """Add targets with their first issue; a row's ``plan`` holds the planning fields."""
    for row in entry.says["targets"]:
        (subsystem,) = cast.subsystems(entry, [row["subsystem"]])
        add_target(
            actor=cast.actor(entry),
            project=cast.project(entry),
            subsystem=subsystem,
            key=row["key"],
            name=row["name"],
            asked=Asked(**row["asked"]),
            prerequisites=row.get("needs", ()),
            values=row["plan"],
        )
