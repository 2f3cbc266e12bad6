"""Reading projects, their people and what they are tied to."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import F, Q, QuerySet

from logbook.accounts.models import User
from logbook.projects.models import Characteristic, Membership, Project, ProjectStateEvent


def projects_visible_to(user: User, *, text: str = "", state: str = "") -> QuerySet[Project]:
    """Return the projects ``user`` is a member of, each with its ``role``. Two queries.

    ``text`` is looked for in name, code and characteristics.
    """
    projects = (
        Project.objects.filter(memberships__user=user)
        .annotate(role=F("memberships__role"))
        .prefetch_related("characteristics")
        .order_by("name", "id")
    )
    if state:
        projects = projects.filter(state=state)
    if text:
        tagged = Characteristic.objects.filter(name__icontains=text).values("project_id")
        projects = projects.filter(Q(name__icontains=text) | Q(code__icontains=text) | Q(pk__in=tagged))
    return projects


def members_of(project: Project) -> QuerySet[Membership]:
    """Return who belongs to a project. One query."""
    return Membership.objects.filter(project=project).select_related("user").order_by("user__username")


def state_events_of(project: Project) -> QuerySet[ProjectStateEvent]:
    """Return when the project was opened, shelved or finished, newest first. One query."""
    return (
        ProjectStateEvent.objects.filter(project=project).select_related("recorded_by").order_by("-at", "-id")
    )


@dataclass(frozen=True)
class Relatives:
    """The projects tied to one, as far as the person may see them."""

    descends_from: Project | None
    part_of: Project | None
    parts: tuple[Project, ...]
    descendants: tuple[Project, ...]


def relatives_of(project: Project, user: User) -> Relatives:
    """Return the projects tied to ``project`` that ``user`` is a member of. One query."""
    above = Q(pk__in=[project.descends_from_id, project.part_of_id])
    below = Q(part_of=project) | Q(descends_from=project)
    found = list(Project.objects.filter(above | below, memberships__user=user).order_by("name", "id"))
    by_id = {other.pk: other for other in found}
    return Relatives(
        descends_from=by_id.get(project.descends_from_id or 0),
        part_of=by_id.get(project.part_of_id or 0),
        parts=tuple(other for other in found if other.part_of_id == project.pk),
        descendants=tuple(other for other in found if other.descends_from_id == project.pk),
    )
