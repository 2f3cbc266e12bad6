"""Recording a finding and changing what it says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from logbook.bench.models import Target
from logbook.boards.models import Board, Rework
from logbook.common import clock
from logbook.common.changes import Actor, note_change, store_changes, store_new
from logbook.common.errors import InvalidInputError
from logbook.core.risk.findings import FindingState
from logbook.evidence.models import Evidence
from logbook.findings.models import Finding, FindingEvent, FindingEvidence, FindingRework
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Project, Revision, Subsystem


@transaction.atomic
def record_finding(
    *,
    actor: Actor,
    project: Project,
    key: str,
    title: str,
    subsystem: Subsystem,
    found_on: Board | None = None,
    found_at: datetime | None = None,
    targets: Sequence[Target] = (),
    revisions: Sequence[Revision] = (),
    boards: Sequence[Board] = (),
    values: dict[str, Any] | None = None,
) -> Finding:
    """Record something wrong or surprising; it begins as suspected.

    Where no revision or board is named, it is taken to concern the board it was found on and its revision.
    """
    moment = clock.now()
    finding = Finding(
        project=project,
        key=key,
        title=title,
        subsystem=subsystem,
        found_on=found_on,
        found_at=_not_in_future(found_at, moment),
        recorded_at=moment,
        recorded_by=actor.user,
        **(values or {}),
    )
    if found_on is not None:
        boards = boards or [found_on]
        revisions = revisions or [found_on.revision]
    lists = {"targets": targets, "revisions": revisions, "boards": boards}
    _check(finding, lists)
    store_new(finding, actor=actor)
    for name, rows in lists.items():
        getattr(finding, name).set(rows)
    _begin(finding, moment)
    return finding


def _begin(finding: Finding, moment: datetime) -> None:
    FindingEvent.objects.create(
        finding=finding,
        state=str(FindingState.SUSPECTED),
        at=finding.found_at,
        recorded_at=moment,
        recorded_by=finding.recorded_by,
    )


@transaction.atomic
def change_finding(
    *,
    actor: Actor,
    finding: Finding,
    values: dict[str, Any],
    lists: Mapping[str, Sequence[Any]] | None = None,
) -> Finding:
    """Change what a finding says; ``lists`` replaces targets, revisions or boards as a whole.

    Its state is not among the values: that only moves.
    """
    given = dict(lists or {})
    store_changes(finding, values, actor=actor)
    _check(finding, given)
    for name, rows in given.items():
        _replace(finding, name, rows, actor=actor)
    return finding


def _replace(finding: Finding, name: str, rows: Sequence[Any], *, actor: Actor) -> None:
    related = getattr(finding, name)
    before = sorted(str(row) for row in related.all())
    after = sorted({str(row) for row in rows})
    if before == after:
        return
    related.set(rows)
    # What was fetched along with the finding is older than this.
    getattr(finding, "_prefetched_objects_cache", {}).pop(name, None)
    fields = {name: [", ".join(before), ", ".join(after)]}
    note_change(finding, action="changed", actor=actor, project_id=finding.project_id, fields=fields)


@transaction.atomic
def attach_to_finding(*, actor: Actor, finding: Finding, evidence: Evidence) -> FindingEvidence:
    """Put a file with a finding; the same file twice is one link."""
    check_belongs("evidence", evidence, finding.project_id)
    link, is_new = FindingEvidence.objects.get_or_create(finding=finding, evidence=evidence)
    if is_new:
        note_change(link, action="added", actor=actor, project_id=finding.project_id, fields={})
    return link


@transaction.atomic
def link_rework(*, actor: Actor, finding: Finding, rework: Rework) -> FindingRework:
    """Say that a rework was done because of a finding; the same twice is one link."""
    check_belongs("rework", rework.board, finding.project_id)
    link, is_new = FindingRework.objects.get_or_create(finding=finding, rework=rework)
    if is_new:
        note_change(link, action="added", actor=actor, project_id=finding.project_id, fields={})
    return link


def _check(finding: Finding, lists: dict[str, Sequence[Any]]) -> None:
    check_belongs("subsystem", finding.subsystem, finding.project_id)
    check_belongs("found_on", finding.found_on, finding.project_id)
    for name, rows in lists.items():
        for row in rows:
            check_belongs(name, row, finding.project_id)
    if (finding.x is None) != (finding.y is None) or (finding.x is not None and not finding.side):
        missing = "side" if not finding.side else "y" if finding.y is None else "x"
        message = "a place on the picture has a side, x and y together"
        raise InvalidInputError.of(missing, message, allowed="side, x and y, or none of them")


def _not_in_future(given: datetime | None, moment: datetime) -> datetime:
    if given is not None and given > moment:
        allowed = f"up to {moment:%Y-%m-%d %H:%M}"
        raise InvalidInputError.of("found_at", "this lies in the future", given=given, allowed=allowed)
    return given or moment
