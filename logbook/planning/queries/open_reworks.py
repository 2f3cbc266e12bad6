"""Reworks in force that no change makes part of the drawing."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime

from django.db.models import Q

from logbook.boards.choices import ReworkIntent
from logbook.boards.models import Rework, ReworkFoldedIn
from logbook.common import clock
from logbook.core.risk import risk_of_rework
from logbook.planning.queries.known import known_at
from logbook.planning.queries.open_row import OpenRow
from logbook.planning.queries.target_risks import TargetRisks


def rework_rows(found: TargetRisks) -> list[OpenRow]:
    """Return one row for each repair or modification in force folded in nowhere. Three queries at most."""
    standing = found.standing
    reworks = _in_force(standing.line, standing.until)
    folded = (
        _folded_in(standing.revision.pk, standing.descent.lines, standing.until) if reworks else frozenset()
    )
    rows = []
    for rework in reworks:
        if rework.pk in folded:
            continue
        subsystems = list(rework.subsystems.all())
        touched = {one.pk for one in subsystems}
        stakes = found.stakes_of(found.in_subsystems(touched))
        risk = risk_of_rework(f"{rework.key} of {rework.board.serial}", rework.what, stakes)
        rows.append(OpenRow(risk, rework.what, tuple(one.key for one in subsystems)))
    return rows


def _in_force(line: Collection[int], until: datetime | None) -> list[Rework]:
    moment = until or clock.now()
    ends = Q(in_force_until__isnull=True) | Q(in_force_until__gt=moment)
    rows = Rework.objects.filter(ends, board__revision_id__in=line, in_force_from__lte=moment)
    rows = rows.exclude(intent=ReworkIntent.TO_DRAWING).select_related("board")
    return list(rows.prefetch_related("subsystems").order_by("board__serial", "id"))


def _folded_in(
    revision_id: int, lines: Mapping[int, tuple[int, ...]], until: datetime | None
) -> frozenset[int]:
    """Return the reworks a standing change of an ancestor, of the revision or of a descendant folds in."""
    stands = Q(change__withdrawn_at__isnull=True)
    if until is not None:
        stands |= Q(change__withdrawn_at__gt=until)
    kin = {*lines[revision_id], *(pk for pk, line in lines.items() if revision_id in line)}
    rows = known_at(ReworkFoldedIn.objects.filter(stands, change__revision_id__in=kin), until)
    return frozenset(rows.values_list("rework_id", flat=True))
