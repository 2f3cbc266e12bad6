"""The check a lesson carries, and the targets made from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from logbook.bench.check_templates import library
from logbook.bench.choices import Basis, TargetKind
from logbook.bench.commands import add_target
from logbook.bench.commands.from_templates import Pick, add_targets_from_templates
from logbook.bench.commands.targets import ONE, Asked, check_unit_is_said
from logbook.bench.models import Target
from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.errors import ConflictError, FieldProblem, InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.limits import Limits, parse_limits
from logbook.core.quantities import DIMENSIONLESS
from logbook.lessons.models import Lesson, LessonCheck, LessonTarget
from logbook.projects.models import Subsystem

KINDS = {"number": TargetKind.NUMBER, "count": TargetKind.COUNT, "yes_no": TargetKind.YES_NO}


@transaction.atomic
def store_check(*, actor: Actor, lesson: Lesson, says: Mapping[str, Any]) -> LessonCheck:
    """Let a lesson carry a check, once: a check template by its key, or a name with limits."""
    if LessonCheck.objects.filter(lesson=lesson).exists():
        message = f"{lesson} carries a check already; record a new lesson that supersedes it"
        raise ConflictError(message)
    check = LessonCheck(lesson=lesson, **says)
    if check.template:
        _refuse_unknown_template(check)
    else:
        if not check.name.strip():
            raise InvalidInputError.of("check.name", "name the check, or a check template", code="required")
        limits = _limits_of(check, check.limits, "check.limits")
        check_unit_is_said(limits, check.unit, field="check.limits")
    store_new(check, actor=actor, project_id=lesson.project_id)
    return check


def _refuse_unknown_template(check: LessonCheck) -> None:
    if check.template not in library().checks:
        message = f"no check template {check.template!r}"
        raise InvalidInputError.of("check.template", message, given=check.template, allowed="such as R04")


@transaction.atomic
def add_target_from_lesson(
    *, actor: Actor, lesson: Lesson, subsystem: Subsystem, key: str = "", limits: str = "", nominal: str = ""
) -> Target:
    """Make a target of the subsystem's project from the check a lesson carries.

    ``limits`` and ``nominal`` are one's own in place of those of the check.

    Raises
    ------
    InvalidInputError
        The lesson carries no check, or limits or key do not fit.
    """
    check = LessonCheck.objects.filter(lesson=lesson).first()
    if check is None:
        raise InvalidInputError.of("lesson", f"{lesson} carries no check", given=lesson)
    key = key.strip() or f"{subsystem.key}-{lesson.key}"
    make = _from_template if check.template else _from_own_check
    target = make(actor, check, subsystem, key, limits.strip(), nominal.strip())
    link = LessonTarget(lesson=lesson, target=target, added_at=clock.now(), added_by=actor.user)
    store_new(link, actor=actor, project_id=subsystem.project_id)
    return target


def _from_template(
    actor: Actor, check: LessonCheck, subsystem: Subsystem, key: str, limits: str, nominal: str
) -> Target:
    pick = Pick(
        check.template,
        subsystem,
        key=key,
        limits=limits or check.limits,
        nominal=nominal or check.nominal,
    )
    try:
        (added,) = add_targets_from_templates(actor=actor, project=subsystem.project, picks=[pick])
    except InvalidInputError as error:
        problems = [
            FieldProblem(one.field.rpartition(".")[2], one.message, one.given, one.allowed, one.code)
            for one in error.problems
        ]
        raise InvalidInputError(error.message, problems=problems) from error
    return added.target


def _from_own_check(
    actor: Actor, check: LessonCheck, subsystem: Subsystem, key: str, limits: str, nominal: str
) -> Target:
    wanted = limits or check.limits
    read = _limits_of(check, wanted, "limits", nominal)
    kind = KINDS[read.kind]
    # A check recorded before limits had to say so may ask a plain ratio without a unit.
    is_ratio = kind == TargetKind.NUMBER and read.unit == DIMENSIONLESS
    asked = Asked(
        kind=kind,
        limits=wanted,
        unit=check.unit or (ONE if is_ratio else ""),
        nominal=nominal or check.nominal,
        conditions=check.conditions,
        method=check.method,
        basis=Basis.JUDGEMENT,
        basis_note=f"from lesson {check.lesson.key}",
    )
    planned = {"minutes": check.minutes, "severity": check.severity}
    return add_target(
        actor=actor,
        project=subsystem.project,
        subsystem=subsystem,
        key=key,
        name=check.name,
        asked=asked,
        values=planned,
    )


def _limits_of(check: LessonCheck, limits: str, field: str, nominal: str = "") -> Limits:
    try:
        return parse_limits(limits, unit=check.unit or None, nominal=nominal or check.nominal or None)
    except CoreError as error:
        raise InvalidInputError.from_core(field, error) from error
