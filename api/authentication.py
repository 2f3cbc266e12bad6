"""Who calls: the person behind a bearer token."""

from __future__ import annotations

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from logbook.accounts.commands import note_token_use
from logbook.accounts.models import ApiToken, User
from logbook.accounts.queries import token_for_secret
from logbook.common.errors import DomainError


class TokenAuthentication(BaseAuthentication):
    """``Authorization: Bearer <token>``. One query, and a write at most every five minutes."""

    keyword = "Bearer"

    def authenticate(self, request: Request) -> tuple[User, ApiToken] | None:
        """Return person and token; nothing when no token was sent."""
        parts = get_authorization_header(request).split()
        if not parts:
            return None
        if len(parts) != 2 or parts[0].lower() != self.keyword.lower().encode():
            raise AuthenticationFailed("send the token as: Authorization: Bearer <token>", "wrong_scheme")
        try:
            token = token_for_secret(parts[1].decode("ascii", "replace"))
        except DomainError as error:
            raise AuthenticationFailed(error.message, error.code) from error
        note_token_use(token=token)
        return token.user, token

    def authenticate_header(self, request: Request) -> str:
        """Return what a refused caller is asked for."""
        return 'Bearer realm="logbook"'


class TokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """How the token stands in the OpenAPI document."""

    target_class = TokenAuthentication
    name = "token"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        """Return the security scheme."""
        return {
            "type": "http",
            "scheme": "bearer",
            "description": "A token with the scopes read, record or edit, made on the account page or by "
            "`manage.py create_token`.",
        }
