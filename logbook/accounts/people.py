"""Writes to people: the first owner and passwords. Everybody else is made by an owner's command."""

from __future__ import annotations

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from logbook.accounts.models import User
from logbook.accounts.setup_code import forget_setup_code
from logbook.common.changes import Actor, check_whole, note_change
from logbook.common.errors import ConflictError, InvalidInputError


def is_set_up() -> bool:
    """Say whether the site has anybody yet. One query."""
    return User.objects.exists()


@transaction.atomic
def create_first_owner(*, username: str, password: str) -> User:
    """Create the first person of the site, who may do everything; refused once there is anybody."""
    if is_set_up():
        message = "the site already has people; sign in instead"
        raise ConflictError(message)
    owner = User(username=username, is_staff=True, is_superuser=True)
    _set_password(owner, password, field="password")
    check_whole(owner)
    owner.save(force_insert=True)
    note_change(owner, action="added", actor=Actor(owner, "page"), project_id=None, fields={})
    transaction.on_commit(forget_setup_code)
    return owner


@transaction.atomic
def change_password(*, actor: Actor, user: User, old: str, new: str) -> User:
    """Give ``user`` a new password; the old one must be right. What the passwords were is not recorded."""
    if not user.check_password(old):
        raise InvalidInputError.of("old", "the present password is not this one")
    _set_password(user, new, field="new")
    user.save(update_fields=["password"])
    note_change(user, action="password changed", actor=actor, project_id=None, fields={})
    return user


def _set_password(user: User, password: str, *, field: str) -> None:
    try:
        validate_password(password, user)
    except ValidationError as failure:
        raise InvalidInputError.of(field, " ".join(failure.messages)) from failure
    user.set_password(password)
