"""The findings that concern a revision, and the one row each makes with the targets it names."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from django.db.models import OuterRef, Q, QuerySet, Subquery

from logbook.core.risk import FindingFacts, Harm, Risk, Severity, Stakes, risk_of_finding
from logbook.core.risk.findings import CLOSED, FindingState
from logbook.findings.models import Finding, FindingEvent
from logbook.planning.queries.open_row import OpenRow
from logbook.planning.queries.target_risks import TargetRisks
from logbook.projects.models import Revision

DONE = frozenset({FindingState.PROVEN, *CLOSED})


@dataclass(frozen=True)
class KnownFinding:
    """A finding, where it stands, and the keys of the targets it names."""

    finding: Finding
    state: FindingState
    targets: tuple[str, ...]

    @property
    def is_open(self) -> bool:
        """Say whether something is still to be done about it."""
        return self.state not in DONE


def findings_concerning(
    revision: Revision, line: Collection[int], until: datetime | None
) -> tuple[KnownFinding, ...]:
    """Return the findings of a revision and its ancestors, also closed ones, by key. Two queries.

    One that names no revision concerns that of the board it was found on, and without a board all.
    """
    here = Q(revisions__in=line) | Q(revisions__isnull=True, found_on__revision__in=line)
    here |= Q(revisions__isnull=True, found_on__isnull=True)
    found = Finding.objects.filter(here, project_id=revision.project_id)
    if until is not None:
        found = found.filter(recorded_at__lte=until)
    latest = _steps(until).filter(finding=OuterRef("pk")).order_by("-at", "-id")
    rows = (
        found.annotate(stands=Subquery(latest.values("state")[:1]))
        .select_related("subsystem")
        .prefetch_related("targets")
        .order_by("key")
        .distinct()
    )
    return tuple(
        KnownFinding(
            row,
            FindingState(row.stands or FindingState.SUSPECTED),
            tuple(sorted(target.key for target in row.targets.all())),
        )
        for row in rows
    )


def _steps(until: datetime | None) -> QuerySet[FindingEvent]:
    """Return the steps that count: a proof falls with its reading when that is withdrawn."""
    stands = Q(measurement__withdrawn_at__isnull=True)
    if until is None:
        return FindingEvent.objects.filter(stands)
    return FindingEvent.objects.filter(
        stands | Q(measurement__withdrawn_at__gt=until), recorded_at__lte=until
    )


def finding_rows(known: Collection[KnownFinding], found: TargetRisks) -> list[OpenRow]:
    """Return one row for each open finding together with the targets it names."""
    states = {risk.subject: risk for risk in found.rows if not risk.kind.is_about_instruments}
    rows = (_row(one, found, states) for one in known if one.is_open)
    return [row for row in rows if row is not None]


def _row(known: KnownFinding, found: TargetRisks, states: Mapping[str, Risk]) -> OpenRow | None:
    finding = known.finding
    facts = FindingFacts(finding.key, finding.title, known.state)
    asked = tuple(key for key in known.targets if key in found.standing.targets)
    risk = risk_of_finding(
        facts, stakes_of_finding(known, found), [states[key] for key in asked if key in states]
    )
    if risk is None:
        return None
    return OpenRow(risk, finding.title, (finding.subsystem.key,), asked, str(known.state))


def stakes_of_finding(known: KnownFinding, found: TargetRisks) -> Stakes:
    """Return what is at stake with a finding by itself."""
    finding = known.finding
    return replace(
        found.stakes_of(()),
        severity=Severity(finding.severity),
        harm=Harm(finding.harm) if finding.harm else None,
        base=found.counts.of(finding.subsystem),
        fan_out=found.needed_by(known.targets),
    )
