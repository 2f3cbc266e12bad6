"""Who belongs to a project."""

from __future__ import annotations

from django.db import transaction

from logbook.accounts.models import User
from logbook.common.changes import Actor, note_change, store_changes, store_new
from logbook.common.errors import ConflictError
from logbook.projects.choices import Role
from logbook.projects.models import Membership, Project


@transaction.atomic
def set_member(*, actor: Actor, project: Project, user: User, role: str) -> Membership:
    """Give ``user`` a role on the project, new or changed."""
    membership = _locked_membership(project, user)
    if membership is None:
        membership = Membership(project=project, user=user, role=role)
        store_new(membership, actor=actor, project_id=project.pk)
        return membership
    if membership.role == Role.OWNER and role != Role.OWNER:
        _keep_an_owner(membership)
    store_changes(membership, {"role": role}, actor=actor, project_id=project.pk)
    return membership


@transaction.atomic
def remove_member(*, actor: Actor, project: Project, user: User) -> None:
    """Take ``user`` off the project; the last owner stays."""
    membership = _locked_membership(project, user)
    if membership is None:
        return
    if membership.role == Role.OWNER:
        _keep_an_owner(membership)
    note_change(membership, action="removed", actor=actor, project_id=project.pk, fields={})
    membership.delete()


def _locked_membership(project: Project, user: User) -> Membership | None:
    """Return the membership of ``user``, all of the project locked: two owners might leave together."""
    members = Membership.objects.select_for_update().filter(project=project).order_by("pk")
    return next((member for member in members if member.user_id == user.pk), None)


def _keep_an_owner(leaving: Membership) -> None:
    others = Membership.objects.filter(project=leaving.project, role=Role.OWNER).exclude(pk=leaving.pk)
    if not others.exists():
        message = f"{leaving.user} is the only owner of {leaving.project}; make somebody else an owner first"
        raise ConflictError(message)
