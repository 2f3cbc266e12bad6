"""Creating and changing projects."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from logbook.accounts.models import User
from logbook.common import clock
from logbook.common.changes import Actor, check_whole, note_change, store_changes, store_new
from logbook.common.errors import InvalidInputError
from logbook.projects.choices import Role
from logbook.projects.models import Characteristic, Membership, Project, ProjectStateEvent

HOURS = ("hours_s1", "hours_s2", "hours_s3", "hours_s4", "hours_s5")


@transaction.atomic
def create_project(
    *,
    actor: Actor,
    owner: User,
    slug: str,
    name: str,
    code: str = "",
    purpose: str = "",
    characteristics: Sequence[str] = (),
    descends_from: Project | None = None,
    part_of: Project | None = None,
    shares_counts: bool = True,
) -> Project:
    """Create a project with its owner and return it."""
    if Project.objects.filter(slug=slug).exists():
        raise InvalidInputError.of("slug", f"the short name {slug!r} is taken", given=slug, code="taken")
    project = Project(
        slug=slug,
        name=name,
        code=code,
        purpose=purpose,
        descends_from=descends_from,
        part_of=part_of,
        shares_counts=shares_counts,
        opened_at=clock.now(),
    )
    store_new(project, actor=actor)
    note_change(project, action="opened", actor=actor, project_id=project.pk, fields={})
    member = Membership(project=project, user=owner, role=Role.OWNER)
    store_new(member, actor=actor, project_id=project.pk)
    _replace_characteristics(project, characteristics, actor=actor)
    return project


@transaction.atomic
def change_project(
    *,
    actor: Actor,
    project: Project,
    values: dict[str, Any],
    characteristics: Sequence[str] | None = None,
) -> Project:
    """Change descriptive fields of a project; ``characteristics`` replaces the whole set."""
    _refuse_circle(project, "part_of", values.get("part_of"))
    _refuse_circle(project, "descends_from", values.get("descends_from"))
    store_changes(project, values, actor=actor, project_id=project.pk)
    if characteristics is not None:
        _replace_characteristics(project, characteristics, actor=actor)
    return project


def _refuse_circle(project: Project, field: str, other: Project | None) -> None:
    step = other
    while step is not None:
        if step.pk == project.pk:
            message = f"{project} would be its own {field.replace('_', ' ')}"
            raise InvalidInputError.of(field, message, given=other, code="circle")
        step = getattr(step, field)


def _replace_characteristics(project: Project, names: Sequence[str], *, actor: Actor) -> None:
    before = sorted(project.characteristics.values_list("name", flat=True))
    wanted = sorted({name.strip() for name in names if name.strip()})
    if before == wanted:
        return
    for name in set(wanted) - set(before):
        characteristic = Characteristic(project=project, name=name)
        try:
            check_whole(characteristic)
        except InvalidInputError as refused:
            raise InvalidInputError.of(
                "characteristics", f"{name}: {refused.problems[0].message}", given=name
            ) from refused
        characteristic.save()
    project.characteristics.exclude(name__in=wanted).delete()
    fields = {"characteristics": [", ".join(before), ", ".join(wanted)]}
    note_change(project, action="changed", actor=actor, project_id=project.pk, fields=fields)


@transaction.atomic
def set_project_state(
    *, actor: Actor, project: Project, state: str, at: datetime | None = None, note: str = ""
) -> ProjectStateEvent:
    """Record that the project became active, shelved or finished, and return the event."""
    moment = clock.now()
    event = ProjectStateEvent(
        project=project,
        state=state,
        at=at or moment,
        note=note,
        recorded_at=moment,
        recorded_by=actor.user,
    )
    store_new(event, actor=actor, project_id=project.pk)
    newest = project.state_events.order_by("-at", "-id").values_list("state", flat=True)[0]
    store_changes(project, {"state": newest}, actor=actor, project_id=project.pk)
    return event
