"""Reworks with their re-checks: which are done, and which are only half done."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import prefetch_related_objects

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
    def evidence(self) -> list[Evidence]:
        """Return the files that show it, in the order they were put there."""
        return [link.evidence for link in self.rework.evidence_links.all()]

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
    """Return each rework with its re-checks and the files that show it, in order. Five queries."""
    rows = list(reworks)
    reading = "rechecks__measurement__target", "rechecks__measurement__issue"
    prefetch_related_objects(rows, "rechecks__recorded_by", *reading, "evidence_links__evidence")
    return [ReworkLine(row, list(row.rechecks.all())) for row in rows]
