"""What a revision can inherit: the changes along its line, its ancestors' results, and arguments."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from logbook.bench.models import Target
from logbook.bench.queries.yardstick import Yardstick
from logbook.boards.models import Board, ReworkFoldedIn
from logbook.core.state import Change, Heritage, Step
from logbook.planning.queries.arguments import arguments_of
from logbook.planning.queries.folded import FoldedReworks, folded_reworks
from logbook.planning.queries.known import known_at, standing_at
from logbook.planning.queries.rejudging import judged_here
from logbook.planning.queries.results import PastResults, by_target, counts, results_of
from logbook.planning.translate import CellResult, evidence_of
from logbook.projects.models import Change as RecordedChange
from logbook.projects.models import Revision
from logbook.projects.queries import subsystem_needs


@dataclass(frozen=True)
class Lineage:
    """What can be inherited, and the results it was made from, by ancestor and target."""

    heritage: Heritage
    cells: Mapping[str, Mapping[str, Sequence[CellResult]]]


def lineage_of(
    revision: Revision,
    line: Sequence[int],
    targets: Mapping[str, Target],
    yardstick: Yardstick,
    until: datetime | None,
    labels: Mapping[int, str],
    past: PastResults | None = None,
) -> Lineage:
    """Return what a revision can inherit for some targets. At most ten queries today.

    ``line`` holds the ids of the revision and its ancestors, nearest first.
    """
    if len(line) == 1 or not targets:
        return Lineage(Heritage(), {})
    folded = list(
        known_at(ReworkFoldedIn.objects.filter(change__revision_id__in=line), until).select_related(
            "rework__board"
        )
    )
    changes = _changes(line, folded, until)
    reworks = folded_reworks(folded)
    cells = _cells(revision, line[1:], targets, yardstick, until, past)
    steps = tuple(
        _step(labels, changes, cells[parent], reworks, targets, child=child, parent=parent)
        for child, parent in pairwise(line)
    )
    heritage = Heritage(steps, subsystem_needs(revision.project), arguments_of(revision, line, labels, until))
    return Lineage(heritage, {labels[pk]: found for pk, found in cells.items()})


def _step(
    labels: Mapping[int, str],
    changes: Mapping[int, tuple[Change, ...]],
    cells: Mapping[str, Sequence[CellResult]],
    reworks: FoldedReworks,
    targets: Mapping[str, Target],
    *,
    child: int,
    parent: int,
) -> Step:
    return Step(
        labels[child],
        labels[parent],
        changes.get(child, ()),
        {key: evidence_of(found) for key, found in cells.items()},
        {key: reworks.readings(targets[key], found) for key, found in cells.items()} if reworks else {},
    )


def _changes(
    line: Collection[int], folded: Iterable[ReworkFoldedIn], until: datetime | None
) -> dict[int, tuple[Change, ...]]:
    """Return the changes of each revision. One query."""
    folds: dict[int, set[str]] = defaultdict(set)
    for one in folded:
        folds[one.change_id].add(f"{one.rework.key} of {one.rework.board.serial}")
    touched: dict[tuple[int, int, str], set[str]] = defaultdict(set)
    rows = standing_at(RecordedChange.objects.filter(revision_id__in=line), until).order_by("id")
    for pk, revision_id, key, subsystem in rows.values_list("pk", "revision_id", "key", "subsystems__key"):
        touched[pk, revision_id, key].update({subsystem} - {None})
    changes: dict[int, tuple[Change, ...]] = defaultdict(tuple)
    for (pk, revision_id, key), subsystems in touched.items():
        changes[revision_id] += (Change(key, frozenset(subsystems), frozenset(folds[pk])),)
    return dict(changes)


def _cells(
    revision: Revision,
    ancestors: Sequence[int],
    targets: Mapping[str, Target],
    yardstick: Yardstick,
    until: datetime | None,
    past: PastResults | None,
) -> dict[int, dict[str, list[CellResult]]]:
    """Return the results of each ancestor by target. At most seven queries today.

    Those further back are read only for targets without a reading that counts on the nearest: there the
    search for evidence ends. Two steps and not one an ancestor, or queries would grow with the line.
    """
    found: dict[int, dict[str, list[CellResult]]] = {pk: {} for pk in ancestors}
    if past:
        homes = past.homes
    else:
        homes = dict(Board.objects.filter(revision_id__in=ancestors).values_list("serial", "revision_id"))
    issues = {key: yardstick.in_force(target.pk, revision.pk) for key, target in targets.items()}
    wanted = dict(targets)
    for group in (ancestors[:1], ancestors[1:]) if until is None else (ancestors,):
        if not group or not wanted:
            break
        results: dict[int, list[CellResult]] = defaultdict(list)
        pks = {target.pk for target in wanted.values()}
        read = past.of(group) if past else results_of(revision.project, group, until, targets=pks)
        for cell in read:
            if cell.target_id in pks:
                results[homes[cell.board]].append(cell)
        for pk, judged in judged_here(results, revision, yardstick).items():
            found[pk] = by_target(wanted, judged)
        wanted = {
            key: target
            for key, target in wanted.items()
            if not any(counts(found[pk].get(key, ()), issues[key]) for pk in group)
        }
    return found
