"""The bench plan as the page shows it: a checklist with the way to each check, and what is left out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse
from django.utils.http import urlencode

from logbook.core.bench_plan import LeftOut
from logbook.planning.queries import BenchPlanLine, RevisionBenchPlan
from logbook.web.cautions import Caution, cautions_for


@dataclass(frozen=True)
class PlanRow:
    """One check with its place in the order, the address to do it at, and what it buys as text."""

    place: int
    line: BenchPlanLine
    limits: str
    buys: str
    url: str


@dataclass(frozen=True)
class LeftOutTarget:
    """One target that is left out, and at which of its points."""

    key: str
    points: str


@dataclass(frozen=True)
class LeftOutRow:
    """What is left out for one reason. Without a board the reason holds for all of them."""

    reason: str
    board: str
    targets: tuple[LeftOutTarget, ...]


@dataclass(frozen=True)
class PlanCaution:
    """A caution and the checks that carry it."""

    caution: Caution
    targets: str


def plan_rows(plan: RevisionBenchPlan) -> tuple[PlanRow, ...]:
    """Return the checks in the order to do them."""
    slug = plan.revision.project.slug
    return tuple(_row(slug, place, line) for place, line in enumerate(plan.lines, start=1))


def _row(slug: str, place: int, line: BenchPlanLine) -> PlanRow:
    asked = {"target": line.target.key, **({"point": line.point} if line.point else {})}
    bench = reverse("bench-page", args=[slug, line.board.serial])
    return PlanRow(
        place=place,
        line=line,
        limits=line.issue.limits_text or line.issue.get_kind_display(),
        buys=hours_text(line.buys),
        url=f"{bench}?{urlencode(asked)}",
    )


def hours_text(hours: float) -> str:
    """Return hours with the digits worth reading; an odd minute is never nothing."""
    if 0 < hours < 0.05:
        return "below 0.1 h"
    return f"{hours:.0f} h" if hours >= 100 or hours == 0 else f"{hours:.1f} h"


def left_out_rows(left_out: Iterable[LeftOut]) -> tuple[LeftOutRow, ...]:
    """Return what is left out, one row a reason and board, in the order they are met."""
    rows: dict[tuple[str, str], dict[str, list[str]]] = {}
    for one in left_out:
        rows.setdefault((one.reason, one.board), {}).setdefault(one.target, []).append(one.point)
    return tuple(
        LeftOutRow(
            reason,
            board,
            tuple(LeftOutTarget(key, ", ".join(filter(None, points))) for key, points in targets.items()),
        )
        for (reason, board), targets in rows.items()
    )


def plan_cautions(plan: RevisionBenchPlan) -> tuple[PlanCaution, ...]:
    """Return the cautions of the checks of the plan, each once, in the order they are met."""
    met: dict[Caution, list[str]] = {}
    for line in plan.lines:
        for caution in cautions_for(line.target.cautions):
            met.setdefault(caution, []).append(line.target.key)
    return tuple(PlanCaution(one, ", ".join(dict.fromkeys(keys))) for one, keys in met.items())
