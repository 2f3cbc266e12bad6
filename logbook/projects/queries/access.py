"""Access to projects, decided in one place."""

from __future__ import annotations

from logbook.accounts.models import User
from logbook.common.errors import NotAllowedError, NotFoundError
from logbook.projects.choices import MAY, with_article
from logbook.projects.models import Membership, Project


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
        message = f"{with_article(role)} may not {may} on this project; ask an owner for another role"
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
