"""``/projects/{slug}/targets/``: targets, and their issues, which are never edited."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import IF_MATCH, PAGED, described, paged
from api.shapes import checked
from api.unchanged import NOT_MODIFIED, kept_while_unchanged
from api.v1.target_shapes import (
    IssueNew,
    IssueShown,
    TargetChange,
    TargetNew,
    TargetShown,
    asked_of,
    shown,
)
from api.versions import seen_by, tagged
from api.views import LogbookView
from logbook.bench.commands import add_target, change_target, issue_target
from logbook.bench.models import Target
from logbook.bench.queries.lists import target_of, targets_of
from logbook.bench.queries.versions import version_of
from logbook.bench.queries.yardstick import Yardstick, yardstick_for
from logbook.projects.models import Project
from logbook.projects.queries import (
    lineages,
    option_named,
    revision_named,
    revisions_of,
    subsystem_named,
)

FILTERS = (*PAGED, "subsystem", "revision")


def _revision_id(request: Request, project: Project) -> int:
    """Return the revision whose issues are shown as in force: the one asked for, else the newest."""
    if "revision" in request.query_params:
        return revision_named(project, request.query_params["revision"]).pk
    newest = revisions_of(project).order_by("-id").first()
    return newest.pk if newest else 0


def _yardstick(project: Project, targets: list[Target]) -> Yardstick:
    return yardstick_for([target.pk for target in targets], lineages(project))


def _shown_again(request: Request, project: Project, key: str) -> dict[str, Any]:
    target = target_of(project, key)
    yardstick = _yardstick(project, [target])
    return shown(target, yardstick.in_force(target.pk, _revision_id(request, project)))


def _named(project: Project, given: dict[str, Any]) -> dict[str, Any]:
    """Replace the names of subsystem and option by what they name."""
    if "subsystem" in given:
        given["subsystem"] = subsystem_named(project, given["subsystem"])
    if "needs_option" in given:
        key = given["needs_option"]
        given["needs_option"] = option_named(project, key, field="needs_option") if key else None
    return given


class TargetList(LogbookView):
    """The targets of a project."""

    @described("targets_list", paged(TargetShown), parameters=FILTERS, also=NOT_MODIFIED)
    @kept_while_unchanged
    def get(self, request: Request, slug: str) -> Response:
        """Return the targets by key, each with the issue in force and all its issues."""
        refuse_unknown_parameters(request, FILTERS)
        project = self.project(slug)
        rows = targets_of(project)
        if "subsystem" in request.query_params:
            rows = rows.filter(subsystem=subsystem_named(project, request.query_params["subsystem"]))
        page = page_of(rows, request, key="key")
        yardstick = _yardstick(project, page.rows)
        revision_id = _revision_id(request, project)
        return Response(page.shown(lambda target: shown(target, yardstick.in_force(target.pk, revision_id))))

    @described("targets_create", TargetShown, sends=TargetNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Add a target with its first issue."""
        project = self.project(slug)
        given = _named(project, checked(TargetNew, request.data))
        asked = asked_of(project, given)
        target = add_target(
            actor=self.actor,
            project=project,
            subsystem=given.pop("subsystem"),
            key=given.pop("key"),
            name=given.pop("name"),
            asked=asked,
            prerequisites=given.pop("prerequisites", ()),
            values=given,
        )
        return Response(_shown_again(request, project, target.key), status=201)


class TargetDetail(LogbookView):
    """One target."""

    @described("targets_read", TargetShown, parameters=("revision",))
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return the target with the issue in force and all its issues; its version is the ``ETag``."""
        project = self.project(slug)
        version = version_of(target_of(project, key))
        return Response(_shown_again(request, project, key), headers=tagged(version))

    @described("targets_change", TargetShown, sends=TargetChange, parameters=(IF_MATCH,))
    def patch(self, request: Request, slug: str, key: str) -> Response:
        """Change how the target is planned; what it asks changes by a new issue only."""
        project = self.project(slug)
        target = target_of(project, key)
        given = _named(project, checked(TargetChange, request.data, partial=True))
        needs = given.pop("prerequisites", None)
        seen = seen_by(request)
        change_target(actor=self.actor, target=target, values=given, prerequisites=needs, seen=seen)
        return Response(_shown_again(request, project, key), headers=tagged(version_of(target)))


class IssueList(LogbookView):
    """The issues of a target."""

    @described("issues_list", paged(IssueShown))
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return all issues, oldest first; they come in one answer."""
        target = target_of(self.project(slug), key)
        return Response({"results": IssueShown(target.issues.all(), many=True).data, "next_after": None})

    @described("issues_create", IssueShown, sends=IssueNew, status=201, parameters=(IF_MATCH,))
    def post(self, request: Request, slug: str, key: str) -> Response:
        """Issue the target anew, with a reason; everything left out is as in the newest issue."""
        project = self.project(slug)
        target = target_of(project, key)
        given = checked(IssueNew, request.data)
        reason = given.pop("reason")
        asked = asked_of(project, given, before=list(target.issues.all())[-1])
        seen = seen_by(request)
        issue = issue_target(actor=self.actor, target=target, asked=asked, reason=reason, seen=seen)
        return Response(IssueShown(issue).data, status=201, headers=tagged(version_of(target)))
