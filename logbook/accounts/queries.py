"""Finding people and their tokens."""

from __future__ import annotations

from django.db.models import QuerySet

from logbook.accounts.models import ApiToken, User
from logbook.common.errors import InvalidInputError, NotAllowedError, NotFoundError


def is_set_up() -> bool:
    """Say whether the site has anybody yet. One query."""
    return User.objects.exists()


def user_named(username: str, *, field: str = "user") -> User:
    """Return the active person a write names."""
    found = User.objects.filter(username=username, is_active=True).first()
    if found is None:
        message = f"there is no active person {username!r}"
        raise InvalidInputError.of(field, message, given=username, code="unknown")
    return found


def tokens_of(user: User) -> QuerySet[ApiToken]:
    """Return the tokens of a person, newest first, the revoked ones too."""
    return ApiToken.objects.filter(user=user).order_by("-created", "prefix")


def token_of(user: User, prefix: str) -> ApiToken:
    """Return one token of a person by the part of it that is shown in lists."""
    found = tokens_of(user).filter(prefix=prefix).first()
    if found is None:
        message = f"{user} has no token {prefix!r}"
        raise NotFoundError(message)
    return found


def token_for_secret(secret: str) -> ApiToken:
    """Return the usable token with this secret, its person with it. One query.

    Raises
    ------
    NotAllowedError
        The token is unknown, revoked or expired, or its person is no longer active.
    """
    prefix, _, _ = secret.partition(".")
    found: ApiToken | None = ApiToken.objects.select_related("user").filter(prefix=prefix[:8]).first()
    # The rest of the secret decides: a prefix alone tells nobody whether the token exists.
    if found is None or not found.is_valid(secret) or not found.user.is_active:
        message = "this token is not known here"
        raise NotAllowedError(message)
    if found.state != "usable":
        message = f"this token is {found.state}; make a new one"
        raise NotAllowedError(message)
    return found
