"""How a project stands in a line: what is open at the bench, on its newest revision and in its history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery

from logbook.bench.models import BenchSession, CurrentResult, Measurement, Target
from logbook.core.verdict import Verdict
from logbook.projects.models import Project, Revision


@dataclass(frozen=True)
class Standing:
    """Counts of targets on a revision, as designed, and what the history holds."""

    targets: int
    read: int
    failing: int
    open_sessions: int
    last_taken_at: datetime | None

    @property
    def never_read(self) -> int:
        """Return how many targets have no reading as designed on the revision."""
        return self.targets - self.read


def standing_of(project: Project, revision: Revision | None) -> Standing:
    """Return how a project stands; ``revision`` is its newest. Four queries."""
    failing = [verdict.value for verdict in Verdict if verdict.is_failing]
    counts = CurrentResult.objects.filter(revision=revision, designed__isnull=False).aggregate(
        read=Count("target_id", distinct=True),
        failing=Count("target_id", distinct=True, filter=Q(designed_verdict__in=failing)),
    )
    return Standing(
        targets=Target.objects.filter(project=project).count(),
        read=counts["read"],
        failing=counts["failing"],
        open_sessions=BenchSession.objects.filter(project=project, ended_at__isnull=True).count(),
        last_taken_at=_newest_of(project.pk).values_list("taken_at", flat=True).first(),
    )


def with_last_reading(projects: QuerySet[Project]) -> QuerySet[Project]:
    """Add ``last_read_at``: when the reading recorded last was taken. No query of its own."""
    return projects.annotate(last_read_at=Subquery(_newest_of(OuterRef("pk")).values("taken_at")[:1]))


def _newest_of(project: int | OuterRef) -> QuerySet[Measurement]:
    return Measurement.objects.filter(project_id=project, withdrawn_at__isnull=True).order_by("-id")
