"""What nobody has decided yet, and what was decided only until now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from logbook.common import clock
from logbook.core.risk import Decision, holds
from logbook.core.risk.findings import FindingState
from logbook.planning.models import Disposition
from logbook.planning.queries import HeldDisposition
from logbook.planning.queries.decided import Matter, day_of, decided_of, disposition_rows, dispositions_in
from logbook.planning.queries.open_findings import KnownFinding, findings_concerning
from logbook.projects.models import Revision
from logbook.recall.return_brief.lines import Revisions

UNDECIDED = frozenset({FindingState.SUSPECTED, FindingState.REPRODUCED, FindingState.UNDERSTOOD})


@dataclass(frozen=True)
class OpenEnds:
    """Findings as the newest revision has them, and the acceptances that hold and that have ended on it.

    ``findings`` and ``decisions`` are all that were read, also what is closed or counts no more.
    """

    revision: Revision | None
    undecided: tuple[KnownFinding, ...]
    decided: tuple[KnownFinding, ...]
    accepted: tuple[HeldDisposition, ...]
    lapsed: tuple[HeldDisposition, ...]
    findings: tuple[KnownFinding, ...] = ()
    decisions: tuple[Disposition, ...] = ()


def open_ends_of(revisions: Revisions, until: datetime | None) -> OpenEnds:
    """Return what is open on the newest revision, ancestors included. Three queries."""
    newest = revisions.newest
    if newest is None:
        return OpenEnds(None, (), (), (), ())
    line = revisions.descent.lines[newest.pk]
    labels = {one.revision.pk: one.revision.label for one in revisions.lines}
    decisions = tuple(disposition_rows(line, until))
    held = _held(decisions, line, tuple(labels[pk] for pk in line if pk in labels), until)
    findings = findings_concerning(newest, line, until)
    known = [one for one in findings if one.is_open]
    known.sort(key=lambda one: (one.finding.severity, one.finding.key))
    undecided = [one for one in known if _is_undecided(one, held)]
    decided = [one for one in known if one not in undecided]
    accepted = [one for one in held.values() if one.record.decision == Decision.ACCEPT]
    return OpenEnds(
        newest,
        tuple(undecided),
        tuple(decided),
        tuple(one for one in accepted if one.is_valid),
        tuple(one for one in accepted if not one.is_valid),
        findings,
        decisions,
    )


def _held(
    decisions: Sequence[Disposition], line: Sequence[int], labels: tuple[str, ...], until: datetime | None
) -> Mapping[Matter, HeldDisposition]:
    """Return the decisions on a line, each with whether its end has come."""
    day = day_of(until, timezone.localtime(clock.now()).date())
    return {
        matter: HeldDisposition(
            row, holds(decided_of(row, row.revision.label, until), None, is_grave=False, line=labels, day=day)
        )
        for matter, row in dispositions_in(decisions, line, until).items()
    }


def _is_undecided(one: KnownFinding, held: Mapping[Matter, HeldDisposition]) -> bool:
    decision = held.get(Matter("finding", one.finding.key, about_instruments=False))
    return one.state in UNDECIDED and (decision is None or not decision.is_valid)
