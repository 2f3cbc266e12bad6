"""Bills of materials and designator rules: the entries of the story that say so."""

from __future__ import annotations

from logbook.projects.commands.bills import add_designator_rule, bill_source, import_bill
from logbook.projects.queries import subsystem_named
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry


def rules(cast: Cast, entry: Entry) -> None:
    """Assign designators to subsystems."""
    project = cast.project(entry)
    for key, rule in entry.says["rules"].items():
        subsystem = subsystem_named(project, key)
        add_designator_rule(actor=cast.actor(entry), project=project, subsystem=subsystem, rule=rule)


def bill(cast: Cast, entry: Entry) -> None:
    """Import a bill of materials, written in the story line by line."""
    data = "".join(f"{line}\r\n" for line in entry.says["lines"]).encode()
    import_bill(
        actor=cast.actor(entry),
        revision=cast.revision(entry, entry.says["label"]),
        source=bill_source(data, file_name=entry.says["file"]),
    )
