"""Reworks with their re-checks: which are done, and which are only half done."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from logbook.bench.models import ReworkRecheck
from logbook.boards.models import Rework
from logbook.evidence.models import Evidence


@dataclass(frozen=True)
class ReworkLine:
    """A rework with its re-checks, oldest first; one by a reading withdrawn since does not count."""

    rework: Rework
    rechecks: Sequence[ReworkRecheck]

    @property
    def is_recheck_open(self) -> bool:
        """Say whether it is in force and nobody has checked it since."""
        return self.rework.in_force_until is None and not any(counts(one) for one in self.rechecks)

    @property
    def says(self) -> str:
        """Return how far it is, in words."""
        if any(counts(one) for one in self.rechecks):
            return "re-checked"
        return "re-check open" if self.is_recheck_open else "undone, never re-checked"


def counts(recheck: ReworkRecheck) -> bool:
    """Say whether a re-check still stands: its reading, where it has one, was not withdrawn."""
    return recheck.measurement is None or recheck.measurement.withdrawn_at is None


def rework_lines(reworks: Iterable[Rework]) -> list[ReworkLine]:
    """Return each rework with its re-checks, in the order given. One query."""
    rows = list(reworks)
    by_rework: dict[int, list[ReworkRecheck]] = defaultdict(list)
    rechecks = ReworkRecheck.objects.filter(rework__in=rows).select_related(
        "recorded_by", "measurement__target", "measurement__issue"
    )
    for recheck in rechecks.order_by("at", "id"):
        by_rework[recheck.rework_id].append(recheck)
    return [ReworkLine(row, by_rework[row.pk]) for row in rows]


def evidence_of_rework(rework: Rework) -> list[Evidence]:
    """Return the files that show a rework. One query."""
    return list(Evidence.objects.filter(rework_links__rework=rework).order_by("rework_links__id"))
