"""Failures and trials by kind of subsystem: what is expected before anything is known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Case, Count, F, Q, When

from logbook.bench.models import Target, Trial
from logbook.core.risk import BaseRate
from logbook.projects.models import Revision, Subsystem

NOTHING = (0, 0)


@dataclass(frozen=True)
class TrialCounts:
    """Failures and trials by kind of subsystem, and what each target of the project added to them."""

    kinds: Mapping[str, tuple[int, int]]
    own: Mapping[int, tuple[int, int]]

    def without(self, target: Target) -> BaseRate:
        """Return the counts of a target's kind of subsystem, the target itself left out."""
        failures, trials = self.kinds.get(target.subsystem.kind, NOTHING)
        mine = self.own.get(target.pk, NOTHING)
        return BaseRate(failures - mine[0], trials - mine[1])

    def of(self, subsystem: Subsystem) -> BaseRate:
        """Return the counts of a kind of subsystem."""
        return BaseRate(*self.kinds.get(subsystem.kind, NOTHING))


def trial_counts(revision: Revision, until: datetime | None) -> TrialCounts:
    """Return the counts as they stood. One query, one row for each own target and each kind elsewhere.

    Counts of the project itself always count; those of others where both projects share counts.
    """
    is_own = Q(target__project_id=revision.project_id)
    wanted = is_own | Q(target__project__shares_counts=True) if revision.project.shares_counts else is_own
    counted = Trial.objects.filter(wanted)
    if until is not None:
        counted = counted.filter(taken_at__lte=until)
    kinds: dict[str, tuple[int, int]] = defaultdict(lambda: NOTHING)
    own: dict[int, tuple[int, int]] = {}
    for kind, target_id, failures, trials in (
        counted.order_by()
        .annotate(own=Case(When(is_own, then=F("target_id"))))
        .values_list("target__subsystem__kind", "own")
        .annotate(failures=Count("pk", filter=Q(failed=True)), trials=Count("pk"))
    ):
        before = kinds[kind]
        kinds[kind] = (before[0] + failures, before[1] + trials)
        if target_id is not None:
            own[target_id] = (failures, trials)
    return TrialCounts(dict(kinds), own)
