"""Adding targets from check templates: several at once, with their prerequisites wired."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.db import transaction

from logbook.bench.check_templates import CheckTemplate, library
from logbook.bench.choices import Basis
from logbook.bench.commands.targets import Asked, add_target
from logbook.bench.models import Target
from logbook.bench.queries.from_templates import origin_note, targets_by_template
from logbook.common.changes import Actor
from logbook.common.errors import FieldProblem, InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.limits import parse_limits
from logbook.projects.models import Project, Subsystem

MOST_PICKS = 200


@dataclass(frozen=True)
class Pick:
    """One template to become a target. What is empty is as in the template; ``key`` gets a made-up one."""

    template: str
    subsystem: Subsystem
    key: str = ""
    limits: str = ""
    nominal: str = ""
    points: Sequence[str] = ("",)
    minutes: int | None = None


@dataclass(frozen=True)
class AddedTarget:
    """A new target, what it was made to need, and templates it would need that no target is from."""

    template: CheckTemplate
    target: Target
    wired: tuple[str, ...]
    missing: tuple[str, ...]


@dataclass
class _Chosen:
    """Targets by the template they are from, and all keys in use."""

    targets: dict[str, list[Target]]
    keys: set[str]

    def needed_by(self, template: CheckTemplate, subsystem: Subsystem) -> tuple[list[str], list[str]]:
        """Return the keys of targets the template needs, and the templates without any.

        Where several targets are from one template, those of the same subsystem are meant, if there are any.
        """
        wired: list[str] = []
        for key in template.needs:
            found = self.targets.get(key, [])
            near = [target for target in found if target.subsystem_id == subsystem.pk]
            wired += [target.key for target in near or found]
        return wired, [key for key in template.needs if key not in self.targets]

    def note(self, template: str, target: Target) -> None:
        self.targets.setdefault(template, []).append(target)
        self.keys.add(target.key)


@transaction.atomic
def add_targets_from_templates(*, actor: Actor, project: Project, picks: Sequence[Pick]) -> list[AddedTarget]:
    """Add a target for each pick, or none and an error that names each wrong field as ``picks.0.key``.

    1. The picks are taken in dependency order, so that each target can need those before it.
    2. Prerequisites are wired to targets of this call and to earlier ones from the same templates.
    """
    Project.objects.select_for_update(no_key=True).get(pk=project.pk)
    _check_number(picks)
    keys = set(project.targets.values_list("key", flat=True))
    chosen = _Chosen(targets_by_template(project), keys)
    added: list[AddedTarget] = []
    problems: list[FieldProblem] = []
    for place in _in_order(picks):
        try:
            added.append(_add(picks[place], project, chosen, actor))
        except InvalidInputError as error:
            problems += [replace(one, field=f"picks.{place}.{one.field}") for one in error.problems]
    if problems:
        problems.sort(key=lambda one: int(one.field.split(".")[1]))
        message = "; ".join(f"{one.field}: {one.message}" for one in problems)
        raise InvalidInputError(f"no target was added: {message}", problems=problems)
    return added


def _check_number(picks: Sequence[Pick]) -> None:
    if not 0 < len(picks) <= MOST_PICKS:
        message = "pick at least one check template" if not picks else "too many picks at once"
        raise InvalidInputError.of("picks", message, given=len(picks), allowed=f"1 to {MOST_PICKS}")


def _in_order(picks: Sequence[Pick]) -> Iterable[int]:
    """Return the places of the picks in dependency order; unknown templates come last."""
    order = {key: place for place, key in enumerate(library().checks)}
    return sorted(range(len(picks)), key=lambda place: order.get(picks[place].template, len(order)))


def _add(pick: Pick, project: Project, chosen: _Chosen, actor: Actor) -> AddedTarget:
    template = library().checks.get(pick.template)
    if template is None:
        raise InvalidInputError.of(
            "template", f"no check template {pick.template!r}", given=pick.template, allowed="such as R04"
        )
    key = pick.key.strip() or f"{pick.subsystem.key}-{template.key}"
    if key in chosen.keys:
        raise InvalidInputError.of(
            "key", f"{key} is a target already", given=key, allowed="a key of its own", code="taken"
        )
    wired, missing = chosen.needed_by(template, pick.subsystem)
    target = add_target(
        actor=actor,
        project=project,
        subsystem=pick.subsystem,
        key=key,
        name=template.name,
        asked=_asked(template, pick),
        prerequisites=wired,
        values={
            "severity": template.severity,
            "minutes": template.minutes if pick.minutes is None else pick.minutes,
            "waiting_minutes": template.waiting_minutes,
            "cautions": template.cautions,
            "needs_power": template.needs_power,
            "stresses_board": template.stresses_board,
            "depends_on_firmware": template.depends_on_firmware,
        },
    )
    chosen.note(template.key, target)
    return AddedTarget(template, target, tuple(wired), tuple(missing))


def _asked(template: CheckTemplate, pick: Pick) -> Asked:
    limits = pick.limits.strip() or template.limits
    if not limits:
        message = f"fill in the limits from the {template.limits_from}"
        raise InvalidInputError.of("limits", message, allowed=f"limits in {template.unit}")
    nominal = pick.nominal.strip()
    if template.needs_nominal and not nominal and limits.startswith(("±", "+")):
        message = f"{limits} of what? Give the nominal value of the design"
        raise InvalidInputError.of("nominal", message, allowed=f"a value in {template.unit}")
    basis, note = _basis(template, limits)
    return Asked(
        kind=template.result,
        limits=limits,
        unit="" if _is_share(template) and _states_unit(limits) else template.unit,
        nominal=nominal,
        points=pick.points,
        conditions=template.conditions,
        method=template.method,
        basis=basis,
        basis_note=note,
    )


def _is_share(template: CheckTemplate) -> bool:
    """Say whether the template asks a share or a level, in whose place an absolute value may be asked."""
    return not template.needs_nominal and (template.unit == "%" or template.unit.startswith("dB"))


def _states_unit(limits: str) -> bool:
    """Say whether limits carry a unit of their own."""
    try:
        return parse_limits(limits).unit.symbol != ""
    except CoreError:
        return False


def _basis(template: CheckTemplate, limits: str) -> tuple[str, str]:
    """Return the basis of the first issue and its note; limits of one's own are judgement."""
    if limits == template.limits:
        return template.basis, origin_note(template.basis_text, template.key)
    if template.limits_from:
        text = f"filled in by hand for the {template.limits_from}"
    else:
        text = f"own limits in place of {template.asks} ({template.basis_text})"
    return Basis.JUDGEMENT, origin_note(text, template.key)
