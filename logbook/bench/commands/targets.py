"""Adding targets, changing how they are planned, and issuing them anew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from django.db import transaction

from logbook.bench.choices import CAUTION_LETTERS, Basis, Rule, TargetKind
from logbook.bench.commands.current import cells_of_targets, recompute
from logbook.bench.commands.prerequisites import replace_prerequisites
from logbook.bench.models import Target, TargetIssue
from logbook.bench.queries.evaluation import Pair
from logbook.bench.queries.versions import changes_since, version_of
from logbook.bench.queries.yardstick import changes_more_than_limits
from logbook.boards.models import Board
from logbook.calculations.models import Calculation
from logbook.calculations.queries import band_to_take
from logbook.common import clock
from logbook.common.changes import Actor, store_changes, store_new
from logbook.common.errors import ChangedMeanwhileError, InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.limits import Limits, parse_limits
from logbook.core.quantities import DIMENSIONLESS, canonical_text
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Project, Revision, Subsystem

# How the unit of a plain ratio is written.
ONE = "1"


@dataclass(frozen=True)
class Asked:
    """What an issue of a target asks. ``limits`` is text as people write it.

    With a ``calculation`` and no limits, its band becomes the limits. Limits beside a calculation are those
    the issue before took from it.
    """

    kind: str = TargetKind.NUMBER
    limits: str = ""
    unit: str = ""
    nominal: str = ""
    rule: str = Rule.GUARDED
    points: Sequence[str] = ("",)
    boards_needed: int = 1
    conditions: str = ""
    method: str = ""
    basis: str = Basis.JUDGEMENT
    basis_note: str = ""
    meant_for: Revision | None = None
    calculation: Calculation | None = None
    calculation_band: str = ""


@transaction.atomic
def add_target(
    *,
    actor: Actor,
    project: Project,
    subsystem: Subsystem,
    key: str,
    name: str,
    asked: Asked,
    prerequisites: Sequence[str] = (),
    values: dict[str, Any] | None = None,
) -> Target:
    """Add a target with its first issue; ``values`` are its planning fields."""
    check_belongs("subsystem", subsystem, project)
    check_belongs("needs_option", (values or {}).get("needs_option"), project)
    target = Target(
        project=project,
        subsystem=subsystem,
        key=key,
        name=name,
        position=project.targets.count(),
        **(values or {}),
    )
    _check_cautions(target.cautions)
    store_new(target, actor=actor)
    _store_issue(target, asked, number=1, reason="", before=None, actor=actor)
    replace_prerequisites(target, prerequisites, actor=actor)
    return target


@transaction.atomic
def change_target(
    *,
    actor: Actor,
    target: Target,
    values: dict[str, Any],
    prerequisites: Sequence[str] | None = None,
    seen: str = "",
) -> Target:
    """Change how a target is planned. What it asks only changes by a new issue.

    ``seen`` is the version the change was made on; somebody else's change in between refuses this one.
    """
    _check_cautions(values.get("cautions", ""))
    for name in ("subsystem", "needs_option"):
        check_belongs(name, values.get(name), target.project_id)
    if "subsystem" in values or prerequisites is not None:
        _lock_boards(target.project_id)
    _lock(target, seen)
    changed = store_changes(target, values, actor=actor)
    if "subsystem" in changed:
        recompute(target.project, cells=cells_of_targets([target.pk]))
    if prerequisites is not None:
        replace_prerequisites(target, prerequisites, actor=actor)
    return target


@transaction.atomic
def issue_target(*, actor: Actor, target: Target, asked: Asked, reason: str, seen: str = "") -> TargetIssue:
    """Issue a target anew and derive its cells under the new issue. Stored verdicts stay.

    ``seen`` is the version it was issued on; somebody else's change in between refuses this one.
    Readings judged by an older issue go on counting only when nothing but the limits changed.
    """
    if not reason.strip():
        raise InvalidInputError.of("reason", "say why the target is issued anew", allowed="a sentence")
    _lock_boards(target.project_id)
    _lock(target, seen)
    before = target.issues.order_by("-number")[0]
    issue = _store_issue(
        target,
        asked,
        number=before.number + 1,
        reason=reason,
        before=before,
        actor=actor,
    )
    cells = cells_of_targets([target.pk])
    pairs = {Pair(cell.board_id, cell.target_id) for cell in cells}
    recompute(target.project, cells=cells, pairs=pairs)
    return issue


def take_band(
    *, actor: Actor, target: Target, calculation: Calculation, band: str, reason: str
) -> TargetIssue:
    """Issue a target anew with a band of a calculation as its limits; all else is as in the newest issue."""
    newest = target.issues.order_by("-number")[0]
    asked = replace(
        asked_like(newest), limits="", unit="", nominal="", calculation=calculation, calculation_band=band
    )
    return issue_target(actor=actor, target=target, asked=asked, reason=reason)


def asked_like(issue: TargetIssue) -> Asked:
    """Return what an issue asks, to be asked again."""
    same = {one.name: getattr(issue, one.name) for one in fields(Asked) if one.name not in ("limits", "unit")}
    return Asked(**same, limits=issue.limits_text, unit=unit_asked(issue))


def _lock_boards(project_id: int) -> None:
    """Let nobody record, withdraw or issue anew meanwhile.

    Boards come before anything else: whoever records holds a board when it comes to the target.
    """
    list(Board.objects.select_for_update().filter(project=project_id).order_by("pk").values_list("pk"))


def _lock(target: Target, seen: str) -> None:
    """Hold the target, and refuse a change made without having seen the last one."""
    Target.objects.select_for_update(no_key=True).get(pk=target.pk)
    if not seen or seen == version_of(target):
        return
    since = "; ".join(changes_since(target, seen)) or "the version named is none of this target"
    message = f"{target.key} changed meanwhile: {since}. Nothing of yours was stored; look and send again"
    raise ChangedMeanwhileError(message)


def _store_issue(
    target: Target, asked: Asked, *, number: int, reason: str, before: TargetIssue | None, actor: Actor
) -> TargetIssue:
    check_belongs("meant_for", asked.meant_for, target.project_id)
    check_belongs("calculation", asked.calculation, target.project_id)
    asked = _with_band(asked, before)
    limits = _limits(asked)
    issue = TargetIssue(
        target=target,
        number=number,
        meant_for=asked.meant_for,
        kind=asked.kind,
        limits_text=_limits_text(asked),
        rule=asked.rule,
        points=_points(asked.points),
        boards_needed=asked.boards_needed,
        conditions=asked.conditions,
        method=asked.method,
        basis=asked.basis,
        basis_note=asked.basis_note,
        calculation=asked.calculation,
        calculation_band=asked.calculation_band if asked.calculation else "",
        reason=reason.strip(),
        issued_at=clock.now(),
        issued_by=actor.user,
        **_limit_fields(limits),
    )
    issue.changes_more_than_limits = before is not None and changes_more_than_limits(before, issue)
    store_new(issue, actor=actor, project_id=target.project_id)
    return issue


def _with_band(asked: Asked, before: TargetIssue | None) -> Asked:
    """Return what is asked with the band of its calculation as limits."""
    if asked.calculation is None:
        return asked
    if asked.limits.strip():
        _check_taken_before(asked, before)
        return replace(asked, basis=Basis.DERIVED)
    if asked.kind != TargetKind.NUMBER:
        message = "a calculation gives the limits of a number"
        raise InvalidInputError.of("kind", message, given=asked.kind, allowed=TargetKind.NUMBER.value)
    # Nobody may change it between reading its band and storing the limits.
    calculation = Calculation.objects.select_for_update(no_key=True).get(pk=asked.calculation.pk)
    band = band_to_take(calculation, asked.calculation_band)
    return replace(
        asked,
        limits=band.text,
        unit=band.unit or ONE,
        nominal=band.nominal,
        basis=Basis.DERIVED,
        basis_note=band.note,
    )


def _check_taken_before(asked: Asked, before: TargetIssue | None) -> None:
    same = before is not None and (
        asked.calculation is not None
        and before.calculation_id == asked.calculation.pk
        and before.calculation_band == asked.calculation_band
        and before.limits_text == asked.limits.strip()
    )
    if not same:
        message = "limits come either from a calculation or as typed; leave one of them empty"
        raise InvalidInputError.of("limits", message, given=asked.limits, allowed="empty")


def _limits(asked: Asked) -> Limits | None:
    """Read the limits text and hold it against the kind of target."""
    if asked.kind == TargetKind.SEEN_WORKING:
        if asked.limits.strip():
            message = "a target that is only seen working has no limits"
            raise InvalidInputError.of("limits", message, given=asked.limits, allowed="empty")
        return None
    try:
        limits = parse_limits(_limits_text(asked), unit=asked.unit or None, nominal=asked.nominal or None)
    except CoreError as error:
        raise InvalidInputError.from_core(error.where or "limits", error) from error
    wanted = {TargetKind.NUMBER: "number", TargetKind.COUNT: "count", TargetKind.YES_NO: "yes_no"}
    if limits.kind != wanted[TargetKind(asked.kind)]:
        message = f"these limits are for a {limits.kind.replace('_', '/')} target, not for {asked.kind}"
        raise InvalidInputError.of("limits", message, given=asked.limits)
    check_unit_is_said(limits, asked.unit)
    return limits


def check_unit_is_said(limits: Limits, unit: str, *, field: str = "limits") -> None:
    """Refuse limits of a number that nobody gave a unit; a plain ratio says so by the unit 1."""
    if limits.kind == "number" and limits.unit == DIMENSIONLESS and not unit.strip():
        raise InvalidInputError.of(
            field,
            "these limits have no unit",
            given=limits.text,
            allowed="a unit with them or in its own field, such as V, or 1 for a ratio",
        )


def unit_asked(issue: TargetIssue) -> str:
    """Return the unit of an issue as it is typed: what is kept without one is a plain ratio."""
    return issue.unit or (ONE if issue.kind == TargetKind.NUMBER else "")


def _limits_text(asked: Asked) -> str:
    """Return the limits as they are kept; a yes/no target asks for yes where nothing else is said."""
    return asked.limits.strip() or ("yes" if asked.kind == TargetKind.YES_NO else "")


def _limit_fields(limits: Limits | None) -> dict[str, str]:
    if limits is None:
        return {}
    numbers = {"low": limits.low, "high": limits.high, "nominal": limits.nominal}
    texts = {name: canonical_text(number) for name, number in numbers.items() if number is not None}
    return texts | {"unit": limits.unit.symbol}


def _points(names: Sequence[str]) -> list[str]:
    points = [name.strip() for name in names] or [""]
    if len(set(points)) != len(points) or (len(points) > 1 and "" in points):
        raise InvalidInputError.of(
            "points", "each point has a name of its own", given=", ".join(points), allowed="CH1, CH2, …"
        )
    if any(len(point) > 60 for point in points):
        raise InvalidInputError.of("points", "a point's name is too long", allowed="up to 60 characters")
    return points


def _check_cautions(letters: str) -> None:
    unknown = set(letters) - CAUTION_LETTERS
    if unknown:
        raise InvalidInputError.of(
            "cautions", "unknown caution letters", given=letters, allowed=", ".join(sorted(CAUTION_LETTERS))
        )
