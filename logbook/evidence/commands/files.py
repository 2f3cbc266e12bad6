"""Writes to files and to the analyses of captures."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import IO, Any

from django.db import transaction

from logbook.boards.models import Board
from logbook.common import clock, jobs
from logbook.common.changes import Actor, note_change, store_changes, store_new
from logbook.common.errors import InvalidInputError
from logbook.evidence import storage
from logbook.evidence.choices import ANALYSE, PREPARE_PICTURE, AnalysisState, EvidenceKind
from logbook.evidence.kinds import CAPTURES, Identified, identified
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.parameters import checked_parameters
from logbook.projects.models import Project, Revision

LONGEST_NAME = 200
_CONTROL = re.compile(r"[\x00-\x1f\x7f\u202a-\u202e\u2066-\u2069]")


def add_evidence(
    *,
    actor: Actor,
    project: Project,
    name: str,
    stream: IO[bytes],
    kind: str = "",
    caption: str = "",
    board: Board | None = None,
    revision: Revision | None = None,
    taken_at: datetime | None = None,
) -> Evidence:
    """Keep a file and say what it is by its content; the same file for the same place is kept once.

    A picture is prepared for showing, and a capture analysed, in the background. ``kind`` decides only
    where the content allows several.
    """
    _check_belongs(project, board, revision)
    shown_name = _name_of(name)
    with storage.received(stream) as file:
        found = identified(file.path, wanted=kind)
        storage.keep(file)
        evidence = Evidence(
            project=project,
            kind=found.kind,
            name=shown_name,
            media_type=found.media_type,
            size=file.size,
            sha256=file.sha256,
            caption=caption.strip(),
            taken_at=taken_at,
            board=board,
            revision=revision,
            recorded_at=clock.now(),
            recorded_by=actor.user,
        )
    return _stored(actor, evidence, found)


@transaction.atomic
def _stored(actor: Actor, evidence: Evidence, found: Identified) -> Evidence:
    # Whoever sends the same file at the same moment waits here, and then finds it.
    list(Project.objects.select_for_update().filter(pk=evidence.project_id).values_list("pk"))
    earlier = Evidence.objects.filter(
        project=evidence.project,
        sha256=evidence.sha256,
        kind=evidence.kind,
        board=evidence.board,
        revision=evidence.revision,
    ).first()
    if earlier is not None:
        return earlier
    store_new(evidence, actor=actor, project_id=evidence.project_id)
    if found.kind == EvidenceKind.PHOTO:
        jobs.enqueue(name=PREPARE_PICTURE, subject_id=evidence.pk)
    elif found.kind in CAPTURES:
        ask_analysis(actor=actor, evidence=evidence, parameters={})
    return evidence


def change_evidence(*, actor: Actor, evidence: Evidence, caption: str) -> Evidence:
    """Change what stands below a file; the file itself never changes."""
    store_changes(evidence, {"caption": caption.strip()}, actor=actor)
    return evidence


@transaction.atomic
def ask_analysis(*, actor: Actor, evidence: Evidence, parameters: Mapping[str, Any]) -> Analysis:
    """Ask for the numbers of a capture; they are found in the background."""
    checked = checked_parameters(evidence.kind, parameters)
    analysis = Analysis(evidence=evidence, parameters=checked, asked_at=clock.now())
    analysis.save(force_insert=True)
    note_change(analysis, action="asked for", actor=actor, project_id=evidence.project_id, fields={})
    jobs.enqueue(name=ANALYSE, subject_id=analysis.pk)
    return analysis


def note_progress(*, hold: jobs.Hold, percent: int) -> None:
    """Say how far an analysis is, and keep the hold on it."""
    hold.renew()
    Analysis.objects.filter(pk=hold.subject_id).update(
        state=AnalysisState.RUNNING, progress=percent, attempt=hold.attempt
    )


@transaction.atomic
def store_numbers(*, hold: jobs.Hold, numbers: Mapping[str, Any], statements: Sequence[str]) -> None:
    """Store what an analysis found, unless somebody else has taken it up meanwhile."""
    hold.renew()
    _finish(hold.subject_id, AnalysisState.DONE, numbers=dict(numbers), statements=list(statements))


@transaction.atomic
def refuse_analysis(*, hold: jobs.Hold, problem: str) -> None:
    """Store why a capture gives no numbers."""
    hold.renew()
    _finish(hold.subject_id, AnalysisState.REFUSED, problem=problem[:500])


def give_up_analysis(analysis_id: int, problem: str) -> None:
    """Store that an analysis failed for a reason that lies in the site."""
    _finish(analysis_id, AnalysisState.REFUSED, problem=f"the analysis failed: {problem}"[:500])


def _finish(analysis_id: int, state: AnalysisState, **values: Any) -> None:
    Analysis.objects.filter(pk=analysis_id).update(
        state=state, progress=100, finished_at=clock.now(), **values
    )


def _check_belongs(project: Project, board: Board | None, revision: Revision | None) -> None:
    for field, owned in (("board", board), ("revision", revision)):
        if owned is not None and owned.project_id != project.pk:
            message = f"{field} {owned} belongs to another project"
            raise InvalidInputError.of(field, message, given=owned)


def _name_of(given: str) -> str:
    """Return the last part of a path, without what would hide its ending or break a header."""
    name = _CONTROL.sub("", given.replace("\\", "/").rsplit("/", 1)[-1]).strip()
    if name in {"", ".", ".."}:
        raise InvalidInputError.of("file", "the file has no name", given=given, allowed="a name", code="name")
    if len(name) <= LONGEST_NAME:
        return name
    stem, dot, ending = name.rpartition(".")
    return (
        f"{stem[: LONGEST_NAME - len(ending) - 1]}{dot}{ending}"
        if 0 < len(ending) < 10
        else name[:LONGEST_NAME]
    )
