"""Failures and trials by kind of subsystem: what is expected before anything is known."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q

from logbook.bench.models import Target, Trial
from logbook.core.risk import BaseRate
from logbook.projects.models import Revision, Subsystem


@dataclass(frozen=True)
class TrialCounts:
    """Counts by kind of subsystem, and what each target of the project added to them."""

    kinds: Mapping[str, tuple[int, int]]
    own: Mapping[int, Counter[bool]]

    def without(self, target: Target) -> BaseRate:
        """Return the counts of a target's kind of subsystem, the target itself left out."""
        failures, trials = self.of(target.subsystem)
        mine = self.own.get(target.pk, Counter())
        return BaseRate(failures - mine[True], trials - mine.total())

    def of(self, subsystem: Subsystem) -> BaseRate:
        """Return the counts of a kind of subsystem."""
        return BaseRate(*self.kinds.get(subsystem.kind, (0, 0)))


def trial_counts(revision: Revision, until: datetime | None) -> TrialCounts:
    """Return the counts as they stood. Two queries.

    Counts of the project itself always count; those of others where both projects share counts.
    """
    counted = Trial.objects.filter(target__project_id=revision.project_id)
    if revision.project.shares_counts:
        shared = Q(target__project__shares_counts=True)
        counted = Trial.objects.filter(Q(target__project_id=revision.project_id) | shared)
    if until is not None:
        counted = counted.filter(taken_at__lte=until)
    by_kind = counted.values_list("target__subsystem__kind").annotate(
        failures=Count("pk", filter=Q(failed=True)), trials=Count("pk")
    )
    own: dict[int, Counter[bool]] = defaultdict(Counter)
    for target_id, has_failed in counted.filter(target__project_id=revision.project_id).values_list(
        "target_id", "failed"
    ):
        own[target_id][has_failed] += 1
    return TrialCounts({kind: (failures, trials) for kind, failures, trials in by_kind}, own)
