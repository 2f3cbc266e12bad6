"""What every view of the API shares: who calls, on which project, with what input."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, cast

from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.views import APIView

from api.schema import ProblemAutoSchema
from logbook.accounts.models import User
from logbook.common.changes import Actor
from logbook.common.errors import InvalidInputError
from logbook.projects.models import Project
from logbook.projects.queries import project_for


class LogbookView(APIView):
    """A view with one line for each of its questions."""

    schema = ProblemAutoSchema()
    scopes: ClassVar[Mapping[str, frozenset[str]]] = {}
    request: Request

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Refuse what no database can look up, before any view sees it."""
        super().initial(request, *args, **kwargs)
        asked = [(name, str(text)) for name, text in (*kwargs.items(), *request.query_params.items())]
        for name, text in asked:
            if "\x00" in text:
                raise InvalidInputError.of(
                    name, "this holds a character that is not text", code="unprintable"
                )

    @property
    def person(self) -> User:
        """The person behind the token."""
        return cast("User", self.request.user)

    @property
    def actor(self) -> Actor:
        """Who writes."""
        return Actor(self.person, "api")

    def project(self, slug: str, *, may: str = "") -> Project:
        """Return the project if the person may do what the method does; ``may`` says so otherwise."""
        usual = "read" if self.request.method in SAFE_METHODS else "edit"
        return project_for(self.person, slug, may=may or usual)
