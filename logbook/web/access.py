"""Who looks at a page, at which project, and what they may do there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.contrib.auth.decorators import login_required

from logbook.accounts.models import User
from logbook.common.changes import Actor
from logbook.projects.choices import MAY
from logbook.projects.models import Project, Revision
from logbook.projects.queries import membership_for

if TYPE_CHECKING:
    from django.http import HttpRequest

signed_in = login_required


@dataclass(frozen=True)
class ProjectPage:
    """What the frame of every page of a project shows. Templates get it as ``page``."""

    project: Project
    role: str
    door: str = ""
    revision: Revision | None = None

    @property
    def may_record(self) -> bool:
        """Say whether this person may record readings."""
        return "record" in MAY[self.role]

    @property
    def may_edit(self) -> bool:
        """Say whether this person may change the structure."""
        return "edit" in MAY[self.role]

    @property
    def may_manage(self) -> bool:
        """Say whether this person may change members and the state of the project."""
        return "manage" in MAY[self.role]


def person(request: HttpRequest) -> User:
    """Return who is signed in; views behind ``signed_in`` only."""
    if not isinstance(request.user, User):
        message = "this view needs the signed_in decorator"
        raise TypeError(message)
    return request.user


def actor_of(request: HttpRequest) -> Actor:
    """Return who acts through a page."""
    return Actor(person(request), "page")


def project_page(
    request: HttpRequest, slug: str, *, may: str = "read", door: str = "", revision: Revision | None = None
) -> ProjectPage:
    """Return the frame of a project's page if the person may ``may`` there. One query.

    Raises
    ------
    NotFoundError
        There is no such project, or the person is a stranger to it.
    NotAllowedError
        Their role does not allow it.
    """
    membership = membership_for(person(request), slug, may=may)
    return ProjectPage(membership.project, membership.role, door, revision)
