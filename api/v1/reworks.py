"""``/projects/{slug}/reworks/``: what was done to single boards by hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from django.db.models import prefetch_related_objects
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.permissions import AT_THE_BENCH
from api.schema import PAGED, described, paged
from api.shapes import KeysOf, Moment, Name, Names, Shape, Text, Whole, Word, checked
from api.views import LogbookView
from logbook.bench.commands import attach_to_rework, recheck_rework, record_rework, undo_rework
from logbook.bench.models import ReworkRecheck
from logbook.bench.queries.lists import measurement_named
from logbook.bench.queries.reworks import ReworkLine, counts, rework_lines
from logbook.boards.choices import ReworkIntent, ReworkKind
from logbook.boards.commands import PathInput, describe_rework
from logbook.boards.models import Rework
from logbook.boards.queries import board_named, rework_numbered, reworks_of_project
from logbook.evidence.queries import evidence_numbered
from logbook.findings.commands import link_rework
from logbook.findings.queries import finding_named
from logbook.projects.queries import subsystem_named


class PathFields(Shape):
    """From where to where a rework cuts, wires or moves something."""

    begins_at = Name(help_text="Such as R88, U5.3 or a trace by name.")
    leads_to = Text()
    wire = Text(help_text="Gauge and kind, such as 0.2 mm enamelled.")
    length = Text()


class ReworkChange(Shape):
    """What is said of a rework; what its readings hang on stays. ``paths`` replaces them as a whole."""

    kind = Word(ReworkKind.choices)
    what = Name()
    reason = Text()
    reversible = serializers.BooleanField(required=False)
    paths = PathFields(many=True, required=False)


class ReworkNew(ReworkChange):
    """A rework of one board, in force from now or from ``in_force_from``."""

    board = Name()
    key = Name()
    kind = Word(ReworkKind.choices, required=True)
    intent = Word(ReworkIntent.choices, required=True)
    subsystems = Names(required=True)
    in_force_from = Moment()


class RecheckNew(Shape):
    """A rework was checked after it was done: by a reading of its board, or by what was seen."""

    measurement = Whole(help_text="Number of a reading taken after the rework.")
    note = Text()
    at = Moment()


class EvidenceNumber(Shape):
    """A file that shows the rework."""

    evidence = Whole(required=True)


class FindingKey(Shape):
    """The finding because of which the rework was done."""

    finding = Name()


class RecheckShown(serializers.Serializer[Any]):
    """A re-check of a rework; one by a reading withdrawn since does not count."""

    id = serializers.IntegerField()
    at = serializers.DateTimeField()
    measurement = serializers.IntegerField(source="measurement_id", allow_null=True)
    note = serializers.CharField()
    counts = serializers.SerializerMethodField()
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)

    def get_counts(self, row: ReworkRecheck) -> bool:
        """Say whether it stands."""
        return counts(row)


class PathShown(serializers.Serializer[Any]):
    """From where to where."""

    begins_at = serializers.CharField()
    leads_to = serializers.CharField()
    wire = serializers.CharField()
    length = serializers.CharField()


class ReworkUndone(Shape):
    """When a rework was undone, and a note."""

    at = Moment()
    note = Text()


class ReworkShown(serializers.Serializer[Any]):
    """A rework of one board, with what was checked since."""

    id = serializers.IntegerField(source="rework.id")
    board = serializers.CharField(source="rework.board.serial")
    key = serializers.CharField(source="rework.key")
    kind = serializers.ChoiceField(ReworkKind.choices, source="rework.kind")
    intent = serializers.ChoiceField(ReworkIntent.choices, source="rework.intent")
    what = serializers.CharField(source="rework.what")
    reason = serializers.CharField(source="rework.reason")
    subsystems = KeysOf("key", source="rework.subsystems")
    in_force_from = serializers.DateTimeField(source="rework.in_force_from")
    in_force_until = serializers.DateTimeField(source="rework.in_force_until", allow_null=True)
    reversible = serializers.BooleanField(source="rework.reversible")
    paths = PathShown(many=True, source="rework.paths")
    findings = serializers.SerializerMethodField()
    rechecks = RecheckShown(many=True)
    is_recheck_open = serializers.BooleanField(help_text="In force, and nobody has checked it since.")
    evidence = KeysOf("evidence_id", source="rework.evidence_links", child=serializers.IntegerField())
    recorded_at = serializers.DateTimeField(source="rework.recorded_at")
    recorded_by = serializers.CharField(source="rework.recorded_by.username", default=None, allow_null=True)

    def get_findings(self, line: ReworkLine) -> list[str]:
        """Return the keys of the findings because of which it was done."""
        return [link.finding.key for link in line.rework.finding_links.all()]


def _shown(rework: Rework) -> Any:
    (line,) = _with_findings([rework])
    return ReworkShown(line).data


def _with_findings(reworks: Sequence[Rework]) -> list[ReworkLine]:
    prefetch_related_objects(reworks, "finding_links__finding")
    return rework_lines(reworks)


class ReworkList(LogbookView):
    """The reworks of a project's boards."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("reworks_list", paged(ReworkShown), parameters=(*PAGED, "board"))
    def get(self, request: Request, slug: str) -> Response:
        """Return the reworks in the order they were recorded."""
        refuse_unknown_parameters(request, (*PAGED, "board"))
        project = self.project(slug)
        rows = reworks_of_project(project)
        if "board" in request.query_params:
            rows = rows.filter(board=board_named(project, request.query_params["board"]))
        page = page_of(rows, request, key="id")
        lines = {line.rework.pk: line for line in _with_findings(page.rows)}
        return Response(page.shown(lambda row: ReworkShown(lines[row.pk]).data))

    @described("reworks_create", ReworkShown, sends=ReworkNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Record a rework."""
        project = self.project(slug, may="record")
        given = checked(ReworkNew, request.data)
        board = board_named(project, given.pop("board"))
        keys = dict.fromkeys(given.pop("subsystems"))
        subsystems = [subsystem_named(project, key, field="subsystems") for key in keys]
        paths = _paths(given) or ()
        rework = record_rework(actor=self.actor, board=board, subsystems=subsystems, paths=paths, **given)
        return Response(_shown(rework), status=201)


def _paths(given: dict[str, Any]) -> list[PathInput] | None:
    paths = given.pop("paths", None)
    return None if paths is None else [PathInput(**path) for path in paths]


class ReworkDetail(LogbookView):
    """One rework."""

    @described("reworks_read", ReworkShown)
    def get(self, request: Request, slug: str, number: int) -> Response:
        """Return the rework."""
        return Response(_shown(rework_numbered(self.project(slug), number)))

    @described("reworks_change", ReworkShown, sends=ReworkChange)
    def patch(self, request: Request, slug: str, number: int) -> Response:
        """Change what is said of it; intent, subsystems and times stay."""
        rework = rework_numbered(self.project(slug), number)
        given = checked(ReworkChange, request.data, partial=True)
        paths = _paths(given)
        describe_rework(actor=self.actor, rework=rework, values=given, paths=paths)
        return Response(_shown(rework))


class ReworkUndo(LogbookView):
    """Undoing a rework."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("reworks_undo", ReworkShown, sends=ReworkUndone)
    def post(self, request: Request, slug: str, number: int) -> Response:
        """Record that the rework was undone; readings taken under it keep it."""
        rework = rework_numbered(self.project(slug, may="record"), number)
        undo_rework(actor=self.actor, rework=rework, **checked(ReworkUndone, request.data))
        return Response(_shown(rework))


class ReworkRechecks(LogbookView):
    """Re-checking a rework."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("reworks_recheck", ReworkShown, sends=RecheckNew, status=201)
    def post(self, request: Request, slug: str, number: int) -> Response:
        """Record that the rework was checked after it was done."""
        project = self.project(slug, may="record")
        rework = rework_numbered(project, number)
        given = checked(RecheckNew, request.data)
        reading = given.pop("measurement", None)
        measurement = measurement_named(project, reading) if reading is not None else None
        recheck_rework(actor=self.actor, rework=rework, measurement=measurement, **given)
        return Response(_shown(rework), status=201)


class ReworkEvidenceList(LogbookView):
    """The files that show a rework."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("reworks_attach", ReworkShown, sends=EvidenceNumber, status=201)
    def post(self, request: Request, slug: str, number: int) -> Response:
        """Put a file of the project with the rework; the same file twice is one link."""
        project = self.project(slug, may="record")
        rework = rework_numbered(project, number)
        kept = evidence_numbered(project, checked(EvidenceNumber, request.data)["evidence"])
        attach_to_rework(actor=self.actor, rework=rework, evidence=kept)
        return Response(_shown(rework), status=201)


class ReworkFindings(LogbookView):
    """The findings because of which a rework was done."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("reworks_link_finding", ReworkShown, sends=FindingKey, status=201)
    def post(self, request: Request, slug: str, number: int) -> Response:
        """Say because of which finding the rework was done; the same twice is one link."""
        project = self.project(slug, may="record")
        rework = rework_numbered(project, number)
        finding = finding_named(project, checked(FindingKey, request.data)["finding"])
        link_rework(actor=self.actor, finding=finding, rework=rework)
        return Response(_shown(rework), status=201)
