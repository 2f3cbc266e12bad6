"""Writes to people and their tokens."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from logbook.accounts.choices import Scope
from logbook.accounts.models import ApiToken, User
from logbook.accounts.queries import is_set_up
from logbook.accounts.setup_code import forget_setup_code
from logbook.common import clock
from logbook.common.changes import Actor, check_whole, note_change, store_new
from logbook.common.errors import ConflictError, InvalidInputError

# Often enough to see which token is forgotten, rarely enough to cost nothing.
USE_NOTED_EVERY = timedelta(minutes=5)


@transaction.atomic
def add_user(*, actor: Actor, username: str, password: str) -> User:
    """Add a person who can sign in."""
    user = User(username=username)
    _set_password(user, password, field="password")
    store_new(user, actor=actor)
    return user


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


@transaction.atomic
def create_token(
    *, actor: Actor, user: User, name: str, scopes: Sequence[str], expires_at: datetime | None = None
) -> tuple[ApiToken, str]:
    """Make a token of ``user`` and return it with its secret, which is kept nowhere."""
    token = ApiToken(
        user=user, name=name.strip(), scopes=_checked_scopes(scopes), expiry_date=_checked_expiry(expires_at)
    )
    secret = ApiToken.objects.assign_key(token)
    check_whole(token)
    token.save(force_insert=True)
    _note(token, actor, ["", f"{token.name} ({token.prefix}): {', '.join(token.scopes)}"])
    return token, secret


def _checked_scopes(scopes: Sequence[str]) -> list[str]:
    unknown = [scope for scope in scopes if scope not in Scope.values]
    if unknown or not scopes:
        message = f"{unknown[0]!r} is not a scope" if unknown else "name at least one scope"
        raise InvalidInputError.of(
            "scopes", message, given=", ".join(scopes), allowed=", ".join(Scope.values)
        )
    return [scope for scope in Scope.values if scope in scopes]


def _checked_expiry(expires_at: datetime | None) -> datetime | None:
    if expires_at is not None and expires_at <= clock.now():
        raise InvalidInputError.of(
            "expires_at", "a new token expires in the future", given=expires_at, allowed="a later day"
        )
    return expires_at


@transaction.atomic
def revoke_token(*, actor: Actor, token: ApiToken) -> ApiToken:
    """Revoke a token for good. Revoking it again changes nothing."""
    if ApiToken.objects.filter(pk=token.pk, revoked=False).update(revoked=True):
        _note(token, actor, [f"{token.name} ({token.prefix})", "revoked"])
    token.refresh_from_db(fields=["revoked"])
    return token


def note_token_use(*, token: ApiToken) -> None:
    """Keep when a token was last used, at most every five minutes."""
    moment = clock.now()
    noted = token.last_used_at
    if noted is not None and noted > moment - USE_NOTED_EVERY:
        return
    stale = Q(last_used_at__isnull=True) | Q(last_used_at__lte=moment - USE_NOTED_EVERY)
    ApiToken.objects.filter(stale, pk=token.pk).update(last_used_at=moment)


def _note(token: ApiToken, actor: Actor, change: list[str]) -> None:
    # Under the person: a token's own key is text and holds its hash.
    note_change(token.user, action="changed", actor=actor, project_id=None, fields={"token": change})
