"""Captures and drawings: the entries of the story that bring a file with them."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from typing import Any

from logbook.bench.commands.evidence import attach_to_measurement, attach_to_session
from logbook.bench.commands.reworks import attach_to_rework
from logbook.bench.models import Measurement
from logbook.bench.queries.lists import measurements_of_target, target_of
from logbook.boards.queries import rework_named
from logbook.common.errors import NotFoundError
from logbook.evidence.commands import add_evidence, ask_analysis
from logbook.evidence.models import Analysis, Evidence
from logbook.findings.commands import attach_to_finding
from logbook.findings.queries import finding_named
from logbook.recall.demo.captures import CAPTURES
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.drawings import DRAWINGS
from logbook.recall.demo.story import Entry, moment_of

MADE = CAPTURES | DRAWINGS


def evidence(cast: Cast, entry: Entry) -> None:
    """Make a file, add it, ask its analyses, and put it where it belongs."""
    says = dict(entry.says)
    kept = add_evidence(
        actor=cast.actor(entry),
        project=cast.project(entry),
        name=says["name"],
        stream=io.BytesIO(MADE[says["made"]]()),
        caption=says["caption"],
        board=cast.board(entry) if "board" in says else None,
        revision=cast.revision(entry, says["revision"]),
        taken_at=moment_of(says["taken_at"]),
    )
    for parameters in says.get("analyses", ()):
        ask_analysis(actor=cast.actor(entry), evidence=kept, parameters=parameters)
    analyses = list(kept.analyses.order_by("id"))
    for row in says.get("behind", ()):
        _attach(cast, entry, kept, row, analyses)
    _file_with(cast, entry, kept)


def _file_with(cast: Cast, entry: Entry, kept: Evidence) -> None:
    """Put the file with the sitting, the finding and the rework the entry names."""
    says, actor = entry.says, cast.actor(entry)
    if "session" in says:
        attach_to_session(actor=actor, session=cast.sessions[says["session"]], evidence=kept)
    if "finding" in says:
        found = finding_named(cast.project(entry), says["finding"])
        attach_to_finding(actor=actor, finding=found, evidence=kept)
    if "rework" in says:
        rework = rework_named(cast.board(entry), says["rework"])
        attach_to_rework(actor=actor, rework=rework, evidence=kept)


def _attach(
    cast: Cast, entry: Entry, kept: Evidence, row: Mapping[str, Any], analyses: Sequence[Analysis]
) -> None:
    """Put the file behind a reading; where the reading is a number of it, behind that number.

    ``analysis`` counts from 1; the first is the one every capture gets by itself.
    """
    attach_to_measurement(
        actor=cast.actor(entry),
        measurement=_standing(cast, entry, row),
        evidence=kept,
        analysis=analyses[row["analysis"] - 1] if "number" in row else None,
        number=row.get("number", ""),
    )


def _standing(cast: Cast, entry: Entry, row: Mapping[str, Any]) -> Measurement:
    """Return the newest reading that stands on the entry's board for a target and point."""
    target = target_of(cast.project(entry), row["target"])
    readings = measurements_of_target(target).filter(board=cast.board(entry), withdrawn_at__isnull=True)
    found = readings.filter(point=row.get("point", "")).first()
    if found is None:
        message = f"board {entry.says['board']} has no reading of {row['target']} yet"
        raise NotFoundError(message)
    return found
