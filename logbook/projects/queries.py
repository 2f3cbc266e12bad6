"""Reading projects, with access decided in one place."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import F, Q, QuerySet

from logbook.accounts.models import User
from logbook.common.errors import InvalidInputError, NotAllowedError, NotFoundError
from logbook.projects.choices import MAY
from logbook.projects.models import (
    Change,
    Characteristic,
    DesignedPosition,
    Membership,
    Option,
    Project,
    ProjectStateEvent,
    Revision,
    Subsystem,
    SubsystemDependency,
)


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


def membership_for(user: User, slug: str, *, may: str = "read") -> Membership:
    """Return the membership, with its project, of a user who may do ``may`` there. One query.

    A stranger gets the same "not found" as for a project that does not exist.
    """
    membership = Membership.objects.select_related("project").filter(user=user, project__slug=slug).first()
    if membership is None:
        message = f"no project {slug!r} that you are a member of"
        raise NotFoundError(message)
    check_role(membership.role, may=may)
    return membership


def project_for(user: User, slug: str, *, may: str = "read") -> Project:
    """Return the project if ``user`` may do ``may`` on it."""
    return membership_for(user, slug, may=may).project


def check_role(role: str, *, may: str) -> None:
    """Refuse what the role does not allow."""
    if may not in MAY[role]:
        message = f"a {role} may not {may} on this project; ask an owner for another role"
        raise NotAllowedError(message)


def edits_somewhere(user: User) -> bool:
    """Say whether ``user`` owns or edits any project. One query."""
    editing = [role for role, allowed in MAY.items() if "edit" in allowed]
    return Membership.objects.filter(user=user, role__in=editing).exists()


def check_edits_somewhere(user: User) -> None:
    """Refuse who edits no project: what the whole site shares is kept by those who do."""
    if not edits_somewhere(user):
        message = (
            "instruments are shared by the whole site; only an owner or editor of a project may change them"
        )
        raise NotAllowedError(message)


def role_of(user: User, project: Project) -> str:
    """Return the role of ``user``; empty for a stranger. One query."""
    role = Membership.objects.filter(user=user, project=project).values_list("role", flat=True).first()
    return role or ""


def revision_of(project: Project, label: str) -> Revision:
    """Return the revision with ``label``."""
    found = Revision.objects.select_related("project", "parent").filter(project=project, label=label).first()
    if found is None:
        message = f"{project} has no revision {label!r}"
        raise NotFoundError(message)
    return found


def subsystem_named(project: Project, key: str, *, field: str = "subsystem") -> Subsystem:
    """Return the subsystem a write names; the error names the keys there are."""
    found = Subsystem.objects.filter(project=project, key=key).first()
    if found is None:
        keys = ", ".join(project.subsystems.values_list("key", flat=True)) or "none yet"
        raise InvalidInputError.of(field, f"no subsystem {key!r} here", given=key, allowed=keys)
    return found


def revision_named(project: Project, label: str, *, field: str = "revision") -> Revision:
    """Return the revision a write names; the error names the labels there are."""
    found = Revision.objects.filter(project=project, label=label).first()
    if found is None:
        labels = ", ".join(project.revisions.values_list("label", flat=True)) or "none yet"
        raise InvalidInputError.of(field, f"no revision {label!r} here", given=label, allowed=labels)
    return found


def option_named(project: Project, key: str, *, field: str = "option") -> Option:
    """Return the option a write names; the error names the keys there are."""
    found = Option.objects.filter(project=project, key=key).first()
    if found is None:
        keys = ", ".join(project.options.values_list("key", flat=True)) or "none yet"
        raise InvalidInputError.of(field, f"no option {key!r} here", given=key, allowed=keys)
    return found


def changes_of(revision: Revision) -> QuerySet[Change]:
    """Return the standing changes of a revision with what they touch, as recorded. Two queries."""
    return (
        Change.objects.filter(revision=revision, withdrawn_at__isnull=True)
        .select_related("revision", "recorded_by")
        .prefetch_related("subsystems")
        .order_by("id")
    )


def change_of(revision: Revision, key: str) -> Change:
    """Return the standing change with ``key``."""
    found = changes_of(revision).filter(key=key).first()
    if found is None:
        message = f"revision {revision} has no change {key!r}"
        raise NotFoundError(message)
    return found


def lineages(project: Project) -> dict[int, tuple[int, ...]]:
    """Return for each revision its own id and those of its ancestors, nearest first. One query."""
    parents = dict(Revision.objects.filter(project=project).values_list("id", "parent_id"))
    lines: dict[int, tuple[int, ...]] = {}
    for start in parents:
        line: list[int] = []
        step: int | None = start
        while step is not None and step not in line:
            line.append(step)
            step = parents[step]
        lines[start] = tuple(line)
    return lines


def subsystem_needs(project: Project) -> dict[str, set[str]]:
    """Return what each subsystem depends on, by key. Two queries."""
    needs: dict[str, set[str]] = {key: set() for key in project.subsystems.values_list("key", flat=True)}
    pairs = SubsystemDependency.objects.filter(subsystem__project=project).values_list(
        "subsystem__key", "depends_on__key"
    )
    for key, other in pairs:
        needs[key].add(other)
    return needs


def newest_revision_of(project: Project) -> Revision | None:
    """Return the revision added last; none before the first. One query."""
    return revisions_of(project).order_by("-id").first()


def subsystems_of(project: Project) -> QuerySet[Subsystem]:
    """Return the subsystems with what they depend on. Three queries."""
    return (
        Subsystem.objects.filter(project=project)
        .prefetch_related("dependencies__depends_on")
        .order_by("position", "key")
    )


def subsystem_of(project: Project, key: str) -> Subsystem:
    """Return the subsystem with ``key``."""
    found = subsystems_of(project).select_related("project").filter(key=key).first()
    if found is None:
        message = f"{project} has no subsystem {key!r}"
        raise NotFoundError(message)
    return found


def options_of(project: Project) -> QuerySet[Option]:
    """Return the options with their positions and where they are by design. Five queries."""
    return (
        Option.objects.filter(project=project)
        .select_related("subsystem")
        .prefetch_related("positions", "designed_positions__revision", "designed_positions__position")
        .order_by("key")
    )


def option_of(project: Project, key: str) -> Option:
    """Return the option with ``key``."""
    found = options_of(project).filter(key=key).first()
    if found is None:
        message = f"{project} has no option {key!r}"
        raise NotFoundError(message)
    return found


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


def revisions_of(project: Project) -> QuerySet[Revision]:
    """Return the revisions with their parents, oldest first. One query."""
    return Revision.objects.filter(project=project).select_related("parent").order_by("id")


def designed_positions_of(revision: Revision) -> QuerySet[DesignedPosition]:
    """Return the position of each option by design on a revision. One query."""
    return (
        DesignedPosition.objects.filter(revision=revision)
        .select_related("option", "position")
        .order_by("option__key")
    )
