"""Captures and drawings: the entries of the story that bring a file with them."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from typing import Any

from logbook.bench.commands.evidence import attach_to_measurement, attach_to_session
from logbook.bench.models import Measurement
from logbook.bench.queries.lists import measurements_of_target, target_of
from logbook.common.errors import NotFoundError
from logbook.evidence.commands import add_evidence, ask_analysis
from logbook.evidence.models import Analysis, Evidence
from logbook.recall.demo.captures import CAPTURES
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.drawings import DRAWINGS
from logbook.recall.demo.story import Entry, moment_of

MADE = CAPTURES | DRAWINGS


def evidence(cast: Cast, entry: Entry) -> None:
    """Make a file, add it, ask its analyses, and put it behind the readings and the sitting it belongs to."""
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
    if "session" in says:
        session = cast.sessions[says["session"]]
        attach_to_session(actor=cast.actor(entry), session=session, evidence=kept)


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
