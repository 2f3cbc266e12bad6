"""Whether a board may be stressed: the only one at hand is not risked unless somebody decided so."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.db.models import OuterRef, Subquery

from logbook.boards.choices import AT_HAND
from logbook.boards.models import BoardEvent
from logbook.core.risk import Decision
from logbook.findings.models import Finding
from logbook.planning.queries.decided import dispositions_on
from logbook.planning.queries.risks import RiskRow
from logbook.projects.models import Revision

# With one more board at hand, one may be risked.
ENOUGH_TO_RISK_ONE = 2
NOT_YET = "needs a second board of revision {}, or the decision to test it first"


def targets_to_test_first(revision: Revision, until: datetime | None = None) -> frozenset[str]:
    """Return the targets somebody decided to test first on the revision. One query, two with a finding's."""
    decided = dispositions_on([revision.pk], until)
    first = [matter for matter, row in decided.items() if row.decision == Decision.TEST_FIRST]
    keys = {one.subject for one in first if one.subject_kind == "target"}
    findings = [one.subject for one in first if one.subject_kind == "finding"]
    if findings:
        named = Finding.objects.filter(project_id=revision.project_id, key__in=findings)
        keys.update(key for key in named.values_list("targets__key", flat=True) if key)
    return frozenset(keys)


def tests_first_in(rows: Iterable[RiskRow], revision: Revision) -> frozenset[str]:
    """Return the same from the open risks of the revision. No query."""
    decided = [(row, row.disposition.record) for row in rows if row.disposition]
    first = [
        row
        for row, record in decided
        if record.decision == Decision.TEST_FIRST and record.revision_id == revision.pk
    ]
    return frozenset(key for row in first for key in row.targets)


def has_board_to_spare(revision: Revision, until: datetime | None = None) -> bool:
    """Say whether two boards of a revision were at hand at a moment, or are now. One query."""
    boards = revision.boards.all()
    if until is not None:
        events = BoardEvent.objects.filter(board=OuterRef("pk"), at__lte=until).order_by("-at", "-id")
        boards = boards.annotate(then=Subquery(events.values("state")[:1])).filter(then__in=AT_HAND)
    else:
        boards = boards.filter(state__in=AT_HAND)
    return boards.count() >= ENOUGH_TO_RISK_ONE
