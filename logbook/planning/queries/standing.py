"""Where a revision stands: everything the states of its targets were decided on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

from logbook.bench.models import Prerequisite, Target, TargetIssue
from logbook.bench.queries.yardstick import yardstick_for
from logbook.common.prepared import Prepared, columns_of, given, row_of
from logbook.core.state import StateOfTarget, TargetFacts, states_of_targets
from logbook.lessons.queries import OfferedLesson, lessons_for
from logbook.planning.models import NotApplicable
from logbook.planning.queries.days import end_of
from logbook.planning.queries.existence import check_was_there
from logbook.planning.queries.known import standing_at
from logbook.planning.queries.lineage import lineage_of
from logbook.planning.queries.results import PastResults, by_target, counts, results_of
from logbook.planning.translate import CellResult, evidence_of, facts_of
from logbook.projects.models import DesignedPosition, Option, Revision, Subsystem
from logbook.projects.queries import Descent, descent_of


@dataclass(frozen=True)
class Standing:
    """Everything the state of a revision's targets was decided on.

    ``descent`` says how the revisions of the project descend from one another.
    """

    revision: Revision
    descent: Descent
    until: datetime | None
    targets: Mapping[str, Target]
    issues: Mapping[str, TargetIssue]
    facts: Sequence[TargetFacts]
    cells: Mapping[str, Sequence[CellResult]]
    older: Mapping[str, Mapping[str, Sequence[CellResult]]]
    states: Mapping[str, StateOfTarget]

    @property
    def line(self) -> tuple[int, ...]:
        """Return the ids of the revision and its ancestors, nearest first."""
        return self.descent.lines[self.revision.pk]

    @cached_property
    def lessons(self) -> tuple[OfferedLesson, ...]:
        """Return the lessons the revision is asked. Four queries, once."""
        return lessons_for(self.revision, until=self.until)


def standing_of(revision: Revision, as_of: date | None = None) -> Standing:
    """Return where a revision stands, today or at the end of a day.

    Raises
    ------
    NotThereYetError
        The revision was not there on that day.
    """
    until = end_of(as_of) if as_of else None
    if until is not None:
        check_was_there(revision, until)
    return standing_at_moment(revision, until)


def standing_at_moment(
    revision: Revision,
    until: datetime | None,
    *,
    descent: Descent | None = None,
    past: PastResults | None = None,
) -> Standing:
    """Decide the state of every target of a revision, from its own readings or its ancestors'.

    Nine queries today for a revision without ancestors, at most fourteen more with any number of them.
    ``past`` are the results of the moment, where they were read before.
    """
    targets = _targets_of(revision)
    descent = descent or descent_of(revision.project)
    lines = descent.lines
    yardstick = yardstick_for([target.pk for target in targets], lines, until)
    in_force = {target.key: yardstick.in_force(target.pk, revision.pk) for target in targets}
    issues = {key: issue for key, issue in in_force.items() if issue is not None}
    known = {target.key: target for target in targets if target.key in issues}
    here = past.of([revision.pk]) if past else results_of(revision.project, [revision.pk], until)
    cells = by_target(known, here)
    facts = _facts(revision, known, issues, until)
    line = lines[revision.pk]
    unread = {key: known[key] for key, issue in issues.items() if not counts(cells.get(key, ()), issue)}
    lineage = lineage_of(revision, line, unread, yardstick, until, descent.labels, past)
    states = states_of_targets(
        facts, {key: evidence_of(found) for key, found in cells.items()}, heritage=lineage.heritage
    )
    return Standing(revision, descent, until, known, issues, facts, cells, lineage.cells, states)


def _targets_of(revision: Revision) -> list[Target]:
    """Return the targets of a revision's project with subsystem and option, in order. Three queries."""
    subsystems = Subsystem.objects.filter(project_id=revision.project_id).in_bulk()
    options = Option.objects.filter(project_id=revision.project_id).in_bulk()
    targets = [row_of(Target, values) for values in _TARGETS.rows(revision.project_id)]
    for target in targets:
        option = None if target.needs_option_id is None else options[target.needs_option_id]
        known = {"subsystem": subsystems[target.subsystem_id], "needs_option": option}
        target._state.fields_cache.update(known)
    return targets


_TARGETS = Prepared(
    lambda: (
        Target.objects.filter(project_id=given(0))
        .order_by("position", "key")
        .values_list(*columns_of(Target))
    )
)


def _facts(
    revision: Revision,
    targets: Mapping[str, Target],
    issues: Mapping[str, TargetIssue],
    until: datetime | None,
) -> list[TargetFacts]:
    unfitted: set[int] = set()
    if any(target.needs_option_id for target in targets.values()):
        unfitted_here = DesignedPosition.objects.filter(revision=revision, position__isnull=True)
        unfitted = set(unfitted_here.values_list("option_id", flat=True))
    keys = {target.pk: key for key, target in targets.items()}
    needs: dict[str, list[str]] = defaultdict(list)
    pairs = Prerequisite.objects.filter(target__project_id=revision.project_id)
    for target_id, needed_id in pairs.values_list("target_id", "needs_id"):
        if target_id in keys and needed_id in keys:
            needs[keys[target_id]].append(keys[needed_id])
    rows = standing_at(NotApplicable.objects.filter(revision=revision), until)
    decided = {key: f"{by}: {reason}" for key, by, reason in rows.values_list("target__key", "by", "reason")}
    return [
        facts_of(
            target,
            issues[key],
            option_not_fitted=(
                target.needs_option.key if target.needs_option and target.needs_option_id in unfitted else ""
            ),
            decided_not_applicable=decided.get(key, ""),
            needs=sorted(needs[key]),
        )
        for key, target in targets.items()
    ]
