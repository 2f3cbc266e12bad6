"""``/projects/``: projects and who belongs to them."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.utils.text import slugify
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import Float, Name, Names, Shape, Text, Word, checked
from api.views import LogbookView
from logbook.accounts.models import User
from logbook.accounts.queries import user_named
from logbook.common.errors import DomainError, InvalidInputError
from logbook.projects.choices import ProjectState, Role
from logbook.projects.commands import change_project, create_project, set_member
from logbook.projects.commands.projects import HOURS
from logbook.projects.models import Membership, Project
from logbook.projects.queries import members_of, project_for, projects_visible_to

KIN = ("descends_from", "part_of")


class ProjectFields(Shape):
    """Descriptive fields of a project."""

    name = Name()
    code = Text()
    purpose = Text()
    characteristics = Names()
    descends_from = Text(allow_null=True)
    part_of = Text(allow_null=True)
    shares_counts = serializers.BooleanField(required=False)


class ProjectNew(ProjectFields):
    """A new project; its maker becomes its owner. Without ``slug`` the short name is made of the name."""

    name = Name()
    slug = Text()


class ProjectChange(ProjectFields):
    """What can be changed: also the hours saved by finding a fault of each severity before ordering."""

    hours_s1 = Float()
    hours_s2 = Float()
    hours_s3 = Float()
    hours_s4 = Float()
    hours_s5 = Float()


class ProjectShown(serializers.Serializer[Any]):
    """A project as one of its members sees it."""

    slug = serializers.CharField()
    name = serializers.CharField()
    code = serializers.CharField()
    purpose = serializers.CharField()
    state = serializers.ChoiceField(ProjectState.choices)
    role = serializers.ChoiceField(Role.choices)
    characteristics = serializers.ListField(child=serializers.CharField())
    descends_from = serializers.CharField(allow_null=True)
    part_of = serializers.CharField(allow_null=True)
    shares_counts = serializers.BooleanField()
    hours_s1 = serializers.FloatField()
    hours_s2 = serializers.FloatField()
    hours_s3 = serializers.FloatField()
    hours_s4 = serializers.FloatField()
    hours_s5 = serializers.FloatField()
    opened_at = serializers.DateTimeField()


class MemberNew(Shape):
    """A person's role on the project."""

    user = Name()
    role = Word(Role.choices, required=True)


class MemberShown(serializers.Serializer[Any]):
    """A person's role on the project."""

    user = serializers.CharField(source="user.username")
    role = serializers.ChoiceField(Role.choices)


def shown(project: Any, visible: Collection[str]) -> dict[str, Any]:
    """Return a project; kin that the reader is no member of is not named."""
    kin = {field: getattr(project, field).slug if getattr(project, field) else None for field in KIN}
    return {
        **{name: getattr(project, name) for name in ("slug", "name", "code", "purpose", "state", "role")},
        "characteristics": [one.name for one in project.characteristics.all()],
        **{field: slug if slug in visible else None for field, slug in kin.items()},
        "shares_counts": project.shares_counts,
        **{name: getattr(project, name) for name in HOURS},
        "opened_at": project.opened_at,
    }


def _kin_of(user: User, given: dict[str, Any]) -> dict[str, Any]:
    """Return the projects a write names as kin; both must be open to the person."""
    found: dict[str, Project | None] = {}
    for field in KIN:
        if field not in given:
            continue
        slug = given.pop(field)
        try:
            found[field] = project_for(user, slug) if slug else None
        except DomainError as error:
            raise InvalidInputError.of(field, error.message, given=slug, code="unknown") from error
    return found


def _visible(user: User) -> set[str]:
    return set(projects_visible_to(user).values_list("slug", flat=True))


def _shown_to(user: User, slug: str) -> dict[str, Any]:
    rows = projects_visible_to(user).select_related(*KIN)
    return shown(rows.get(slug=slug), _visible(user))


class ProjectList(LogbookView):
    """All projects of the person."""

    @described("projects_list", paged(ProjectShown), parameters=PAGED)
    def get(self, request: Request) -> Response:
        """Return the projects the person is a member of, by short name."""
        refuse_unknown_parameters(request, PAGED)
        page = page_of(projects_visible_to(self.person).select_related(*KIN), request, key="slug")
        visible = _visible(self.person)
        return Response(page.shown(lambda project: shown(project, visible)))

    @described("projects_create", ProjectShown, sends=ProjectNew, status=201)
    def post(self, request: Request) -> Response:
        """Create a project; who creates it owns it."""
        given = checked(ProjectNew, request.data)
        given["slug"] = given.get("slug") or slugify(given["name"])
        kin = _kin_of(self.person, given)
        project = create_project(actor=self.actor, owner=self.person, **given, **kin)
        return Response(_shown_to(self.person, project.slug), status=201)


class ProjectDetail(LogbookView):
    """One project."""

    @described("projects_read", ProjectShown)
    def get(self, request: Request, slug: str) -> Response:
        """Return the project."""
        self.project(slug)
        return Response(_shown_to(self.person, slug))

    @described("projects_change", ProjectShown, sends=ProjectChange)
    def patch(self, request: Request, slug: str) -> Response:
        """Change descriptive fields."""
        project = self.project(slug)
        given = checked(ProjectChange, request.data, partial=True)
        names = given.pop("characteristics", None)
        given |= _kin_of(self.person, given)
        change_project(actor=self.actor, project=project, values=given, characteristics=names)
        return Response(_shown_to(self.person, slug))


class MemberList(LogbookView):
    """Who belongs to a project."""

    @described("members_list", paged(MemberShown))
    def get(self, request: Request, slug: str) -> Response:
        """Return the members; a project has few, so they come in one answer."""
        rows = members_of(self.project(slug))
        return Response({"results": MemberShown(rows, many=True).data, "next_after": None})

    @described("members_set", MemberShown, sends=MemberNew)
    def post(self, request: Request, slug: str) -> Response:
        """Give a person a role, new or changed. Owners only."""
        project = self.project(slug, may="manage")
        given = checked(MemberNew, request.data)
        member: Membership = set_member(
            actor=self.actor, project=project, user=user_named(given["user"]), role=given["role"]
        )
        return Response(MemberShown(member).data)
