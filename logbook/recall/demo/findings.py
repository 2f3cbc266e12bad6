"""Findings and their life: the entries of the story that say so."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from logbook.bench.models import Measurement, Target
from logbook.bench.queries.lists import measurements_of, target_of
from logbook.boards.models import Board
from logbook.findings.commands import change_finding, move_finding, prove_finding, record_finding
from logbook.findings.queries import finding_named
from logbook.projects.models import Revision
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry


def finding(cast: Cast, entry: Entry) -> None:
    """Record a finding on the board it was seen on."""
    says = dict(entry.says)
    (subsystem,) = cast.subsystems(entry, [says.pop("subsystem")])
    record_finding(
        actor=cast.actor(entry),
        project=cast.project(entry),
        key=says.pop("key"),
        title=says.pop("title"),
        subsystem=subsystem,
        found_on=cast.board(entry, says.pop("board")),
        targets=_targets(cast, entry, says.pop("targets")),
        revisions=_revisions(cast, entry, says.pop("revisions")),
        boards=_boards(cast, entry, says.pop("boards")),
        values=says,
    )


def changed_finding(cast: Cast, entry: Entry) -> None:
    """Say anew which revisions and boards a finding concerns."""
    lists: dict[str, Sequence[Any]] = {
        "revisions": _revisions(cast, entry, entry.says["revisions"]),
        "boards": _boards(cast, entry, entry.says["boards"]),
    }
    found = finding_named(cast.project(entry), entry.says["finding"])
    change_finding(actor=cast.actor(entry), finding=found, values={}, lists=lists)


def moves(cast: Cast, entry: Entry) -> None:
    """Take findings one step on."""
    for key in entry.says["findings"]:
        move_finding(
            actor=cast.actor(entry),
            finding=finding_named(cast.project(entry), key),
            to=entry.says["to"],
            note=entry.says.get("note", ""),
        )


def proof(cast: Cast, entry: Entry) -> None:
    """Prove a finding by the latest reading of a target on a board."""
    prove_finding(
        actor=cast.actor(entry),
        finding=finding_named(cast.project(entry), entry.says["finding"]),
        measurement=_latest(cast, entry),
        note=entry.says["note"],
    )


def _latest(cast: Cast, entry: Entry) -> Measurement:
    rows = measurements_of(cast.project(entry)).filter(
        target__key=entry.says["target"], board__serial=entry.says["board"], withdrawn_at__isnull=True
    )
    return rows.latest("taken_at")


def _targets(cast: Cast, entry: Entry, keys: Sequence[str]) -> list[Target]:
    return [target_of(cast.project(entry), key) for key in keys]


def _revisions(cast: Cast, entry: Entry, labels: Sequence[str]) -> list[Revision]:
    return [cast.revision(entry, label) for label in labels]


def _boards(cast: Cast, entry: Entry, serials: Sequence[str]) -> list[Board]:
    return [cast.board(entry, serial) for serial in serials]
