"""``/projects/{slug}/findings/``: what is wrong or surprising, and its life."""

from __future__ import annotations

from typing import Any, ClassVar

from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.permissions import AT_THE_BENCH
from api.schema import PAGED, described, paged
from api.shapes import checked
from api.v1.finding_shapes import (
    LISTS,
    FindingChange,
    FindingDetailShown,
    FindingMove,
    FindingNew,
    FindingShown,
    detail_of,
)
from api.views import LogbookView
from logbook.bench.queries.lists import measurement_named, targets_named
from logbook.boards.queries import board_named
from logbook.findings.commands import change_finding, move_finding, record_finding
from logbook.findings.queries import finding_named, finding_of, findings_of, life_of, next_key
from logbook.projects.models import Project
from logbook.projects.queries import revision_named, subsystem_named

FILTERS = ("state", "subsystem", "severity", "board", "revision", "target")


class FindingList(LogbookView):
    """The findings of a project."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("findings_list", paged(FindingShown), parameters=(*PAGED, *FILTERS))
    def get(self, request: Request, slug: str) -> Response:
        """Return the findings by key; ``state`` may also be *open*."""
        refuse_unknown_parameters(request, (*PAGED, *FILTERS))
        asked = {name: request.query_params.get(name, "") for name in FILTERS}
        rows = findings_of(self.project(slug), asked)
        return Response(page_of(rows, request, key="key").shown(lambda row: FindingShown(row).data))

    @described("findings_create", FindingDetailShown, sends=FindingNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Record a finding; it begins as suspected."""
        project = self.project(slug, may="record")
        given = checked(FindingNew, request.data)
        serial = given.pop("found_on", "")
        finding = record_finding(
            actor=self.actor,
            project=project,
            key=given.pop("key", "") or next_key(project),
            title=given.pop("title"),
            subsystem=subsystem_named(project, given.pop("subsystem")),
            found_on=board_named(project, serial, field="found_on") if serial else None,
            found_at=given.pop("found_at", None),
            **_lists_in(project, given),
            values=given,
        )
        return Response(_answer(project, finding.key), status=201)


class FindingDetail(LogbookView):
    """One finding."""

    scopes: ClassVar = {"PATCH": AT_THE_BENCH}

    @described("findings_read", FindingDetailShown)
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return the finding with its life."""
        return Response(_answer(self.project(slug), key))

    @described("findings_change", FindingDetailShown, sends=FindingChange)
    def patch(self, request: Request, slug: str, key: str) -> Response:
        """Change what the finding says."""
        project = self.project(slug, may="record")
        finding = finding_of(project, key)
        given = checked(FindingChange, request.data, partial=True)
        lists = _lists_in(project, given)
        if "subsystem" in given:
            given["subsystem"] = subsystem_named(project, given["subsystem"])
        change_finding(actor=self.actor, finding=finding, values=given, lists=lists)
        return Response(_answer(project, key))


class FindingMoves(LogbookView):
    """Steps of a finding."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("findings_move", FindingDetailShown, sends=FindingMove, status=201)
    def post(self, request: Request, slug: str, key: str) -> Response:
        """Record the next step; where it may go, the finding says in ``may_become``."""
        project = self.project(slug, may="record")
        finding = finding_of(project, key)
        given = checked(FindingMove, request.data)
        reading, other = given.pop("measurement", None), given.pop("duplicate_of", "")
        move_finding(
            actor=self.actor,
            finding=finding,
            measurement=measurement_named(project, reading) if reading is not None else None,
            duplicate_of=finding_named(project, other, field="duplicate_of") if other else None,
            **given,
        )
        return Response(_answer(project, key), status=201)


def _answer(project: Project, key: str) -> Any:
    finding = finding_of(project, key)
    return detail_of(finding, life_of(finding))


def _lists_in(project: Project, given: dict[str, Any]) -> dict[str, list[Any]]:
    """Take the lists out of ``given`` and return what they name."""
    named = {name: list(dict.fromkeys(given.pop(name))) for name in LISTS if name in given}
    found: dict[str, list[Any]] = {}
    if "targets" in named:
        found["targets"] = targets_named(project, named["targets"])
    if "revisions" in named:
        found["revisions"] = [revision_named(project, one, field="revisions") for one in named["revisions"]]
    if "boards" in named:
        found["boards"] = [board_named(project, one, field="boards") for one in named["boards"]]
    return found
