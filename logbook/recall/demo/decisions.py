"""What each revision changed and what is carried over: the entries of the story that say so."""

from __future__ import annotations

from logbook.bench.queries.lists import target_of
from logbook.boards.commands import record_change
from logbook.boards.queries import board_named, rework_named
from logbook.planning.commands import RiskSubject, carry_over, decide_risks
from logbook.planning.queries.changes_ahead import change_ahead
from logbook.projects.commands import describe_change
from logbook.projects.queries import change_of
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry


def changes(cast: Cast, entry: Entry) -> None:
    """Record what a revision does differently, and the reworks that become part of its drawing."""
    project = cast.project(entry)
    for row in entry.says["changes"]:
        says = dict(row)
        folded = says.pop("folds_in", {}).items()
        record_change(
            actor=cast.actor(entry),
            revision=cast.revision(entry, entry.says["label"]),
            key=says.pop("key"),
            kind=says.pop("kind"),
            what=says.pop("what"),
            subsystems=cast.subsystems(entry, says.pop("touches")),
            folds_in=[rework_named(board_named(project, serial), key) for serial, key in folded],
            values=says,
        )


def described_changes(cast: Cast, entry: Entry) -> None:
    """Bring changes of a revision into a state."""
    revision = cast.revision(entry, entry.says["label"])
    for key in entry.says["keys"]:
        change = change_of(revision, key)
        describe_change(actor=cast.actor(entry), change=change, values={"state": entry.says["state"]})


def carried_over(cast: Cast, entry: Entry) -> None:
    """Carry the evidence of a target over by hand."""
    carry_over(
        actor=cast.actor(entry),
        revision=cast.revision(entry, entry.says["label"]),
        target=target_of(cast.project(entry), entry.says["target"]),
        argument=entry.says["argument"],
    )


def decided_risks(cast: Cast, entry: Entry) -> None:
    """Decide the risks of findings alike."""
    says = dict(entry.says)
    revision = cast.revision(entry, says.pop("label"))
    rows = [RiskSubject("finding", key) for key in says.pop("findings")]
    change = change_ahead(revision, says.pop("change")) if "change" in says else None
    decide_risks(actor=cast.actor(entry), revision=revision, rows=rows, change=change, **says)
