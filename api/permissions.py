"""What a token may be used for. What its person may do on a project is asked where the project is found."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from logbook.accounts.choices import Scope
from logbook.accounts.models import ApiToken
from logbook.common.errors import NotAllowedError

if TYPE_CHECKING:
    from rest_framework.views import APIView

ANYBODY: frozenset[str] = frozenset()
READ = frozenset({Scope.READ.value})
RECORD = frozenset({Scope.RECORD.value})
EDIT = frozenset({Scope.EDIT.value})
AT_THE_BENCH = RECORD | EDIT


class HasScope(BasePermission):
    """Lets a token through that has one of the scopes the view's ``scopes`` names for the method.

    Reading needs *read* and everything else *edit* where the view says nothing; ``ANYBODY`` needs no token.
    """

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Say whether there is a token at all; a token without the scope is an error that names it."""
        needed = needed_scopes(view, request.method or "GET")
        if needed == ANYBODY:
            return True
        token = request.auth
        if not isinstance(token, ApiToken):
            return False
        if not needed.intersection(token.scopes):
            message = (
                f"this needs a token with the scope {' or '.join(sorted(needed))}; "
                f"this one has {', '.join(token.scopes)}"
            )
            raise NotAllowedError(message)
        return True


def needed_scopes(view: APIView, method: str) -> frozenset[str]:
    """Return the scopes of which a token needs one."""
    scopes: Mapping[str, frozenset[str]] = getattr(view, "scopes", {})
    if method in scopes:
        return scopes[method]
    is_answered = hasattr(view, method.lower())
    return READ if method in SAFE_METHODS or not is_answered else EDIT
