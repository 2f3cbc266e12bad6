"""``/projects/{slug}/evidence/``: files, and what was found in captures."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict
from functools import partial
from typing import Any, ClassVar

from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.parameters import whole_number
from api.permissions import RECORD
from api.schema import PAGED, described, paged
from api.shapes import Moment, Shape, Text, Whole, Word, checked
from api.uploads import MULTIPART, PARSERS, File, fields_of, name_of, too_large
from api.views import LogbookView
from logbook.bench.commands.evidence import attach_to_measurement, attach_to_session
from logbook.bench.queries.evidence import measurement_keyed
from logbook.bench.queries.lists import bench_session_of, measurement_of
from logbook.boards.queries import board_named
from logbook.common.errors import InvalidInputError
from logbook.evidence.choices import AnalysisState, Drawn, EvidenceKind
from logbook.evidence.commands import add_evidence, ask_analysis
from logbook.evidence.kinds import name_remark
from logbook.evidence.levels import MOST_BUCKETS
from logbook.evidence.models import Evidence
from logbook.evidence.queries import Wanted, analysis_numbered, evidence_numbered, evidence_of, view_of
from logbook.evidence.serving import HEADERS, Served, original_served, served
from logbook.findings.commands.recording import attach_to_finding
from logbook.findings.queries import finding_named
from logbook.projects.models import Project
from logbook.projects.queries import revision_named

FILTERS = ("kind", "board", "revision")
VIEWED = ("of", "channel", "start", "stop", "buckets", "axis")


class EvidenceNew(Shape):
    """A file and what it stands behind; ``kind`` decides only where the content allows several.

    ``measurement`` is the number of a reading, ``measurement_key`` the key it was sent with.
    """

    file = File()
    kind = Word(EvidenceKind.choices)
    caption = Text(max_length=300)
    board = Text()
    revision = Text()
    bench_session = Whole()
    measurement = Whole()
    measurement_key = Text(max_length=80)
    finding = Text()
    taken_at = Moment()


class AnalysisNew(Shape):
    """What to ask of a capture; the parameters of its kind, plain numbers in base units."""

    parameters = serializers.DictField(required=False)


class AnalysisShown(serializers.Serializer[Any]):
    """One analysis: how far it is, and the numbers it found by name, each with value, unit and says."""

    id = serializers.IntegerField()
    state = serializers.ChoiceField(AnalysisState.choices)
    progress = serializers.IntegerField(help_text="Percent.")
    parameters = serializers.DictField()
    numbers = serializers.DictField(child=serializers.DictField())
    statements = serializers.ListField(child=serializers.CharField())
    problem = serializers.CharField(help_text="Why there are no numbers, when it was refused.")
    asked_at = serializers.DateTimeField()
    finished_at = serializers.DateTimeField(allow_null=True)


class EvidenceShown(serializers.Serializer[Any]):
    """A file; ``analysis`` is the newest one of a capture."""

    id = serializers.IntegerField()
    kind = serializers.ChoiceField(EvidenceKind.choices)
    name = serializers.CharField()
    media_type = serializers.CharField()
    size = serializers.IntegerField(help_text="Bytes.")
    sha256 = serializers.CharField()
    caption = serializers.CharField()
    board = serializers.CharField(source="board.serial", default=None, allow_null=True)
    revision = serializers.CharField(source="revision.label", default=None, allow_null=True)
    taken_at = serializers.DateTimeField(allow_null=True)
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)
    remark = serializers.SerializerMethodField(help_text="That name and content disagree, or nothing.")
    analysis = serializers.SerializerMethodField()

    def get_remark(self, evidence: Evidence) -> str:
        """Return what is odd about the name of the file."""
        return name_remark(evidence.name, evidence.media_type)

    @extend_schema_field(AnalysisShown(allow_null=True))
    def get_analysis(self, evidence: Evidence) -> Any:
        """Return the newest analysis, fetched with the file."""
        analyses = list(evidence.analyses.all())
        return AnalysisShown(analyses[0]).data if analyses else None


class ViewShown(serializers.Serializer[Any]):
    """A range of a trace: pair ``i`` holds the samples from ``x[i]`` up to ``x[i + 1]``."""

    channel = serializers.IntegerField(help_text="Counted from 1.")
    name = serializers.CharField()
    unit = serializers.CharField()
    x_name = serializers.CharField()
    x_unit = serializers.CharField()
    x = serializers.ListField(child=serializers.FloatField())
    x_end = serializers.FloatField(help_text="Where the last pair ends.")
    low = serializers.ListField(child=serializers.FloatField())
    high = serializers.ListField(child=serializers.FloatField())
    samples_each = serializers.FloatField(help_text="Samples in a pair, on the mean.")
    samples = serializers.IntegerField(help_text="Samples of the whole capture.")
    first = serializers.FloatField()
    last = serializers.FloatField()


class EvidenceList(LogbookView):
    """The files of a project."""

    scopes: ClassVar = {"POST": RECORD}
    parser_classes = PARSERS

    @described("evidence_list", paged(EvidenceShown), parameters=(*PAGED, *FILTERS))
    def get(self, request: Request, slug: str) -> Response:
        """Return the files in the order they were added."""
        refuse_unknown_parameters(request, (*PAGED, *FILTERS))
        asked = {name: request.query_params.get(name, "") for name in FILTERS}
        rows = evidence_of(self.project(slug), asked)
        return Response(page_of(rows, request, key="id").shown(lambda row: EvidenceShown(row).data))

    @described("evidence_add", EvidenceShown, sends={MULTIPART: EvidenceNew}, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Keep a file; the same one for the same board and revision is kept once, so send it again."""
        project = self.project(slug, may="record")
        try:
            evidence = self._added(project, checked(EvidenceNew, fields_of(request)))
        except InvalidInputError as error:
            raise too_large(error) from error
        return Response(EvidenceShown(evidence_numbered(project, evidence.pk)).data, status=201)

    def _added(self, project: Project, given: dict[str, Any]) -> Evidence:
        """Find everything the file is to stand behind, then keep it."""
        file, behind = given.pop("file"), _behind(project, given)
        if given.get("board"):
            given["board"] = board_named(project, given["board"])
        if given.get("revision"):
            given["revision"] = revision_named(project, given["revision"])
        named = {name: value for name, value in given.items() if value != ""}
        evidence = add_evidence(actor=self.actor, project=project, name=name_of(file), stream=file, **named)
        for attach in behind:
            attach(actor=self.actor, evidence=evidence)
        return evidence


def _behind(project: Project, given: dict[str, Any]) -> list[Callable[..., Any]]:
    """Take what a file is to stand behind out of what was sent, and return what puts it there."""
    session, reading = given.pop("bench_session", None), given.pop("measurement", None)
    key, finding = given.pop("measurement_key", ""), given.pop("finding", "")
    behind: list[Callable[..., Any]] = []
    if session is not None:
        behind.append(partial(attach_to_session, session=bench_session_of(project, session)))
    if reading is not None:
        behind.append(partial(attach_to_measurement, measurement=measurement_of(project, reading)))
    if key:
        behind.append(partial(attach_to_measurement, measurement=measurement_keyed(project, key)))
    if finding:
        behind.append(partial(attach_to_finding, finding=finding_named(project, finding)))
    return behind


class EvidenceDetail(LogbookView):
    """One file."""

    @described("evidence_read", EvidenceShown)
    def get(self, request: Request, slug: str, number: int) -> Response:
        """Return what is known of the file."""
        return Response(EvidenceShown(evidence_numbered(self.project(slug), number)).data)


class EvidenceContent(LogbookView):
    """The bytes of a file."""

    @described("evidence_content", OpenApiTypes.BINARY)
    def get(self, request: Request, slug: str, number: int) -> FileResponse:
        """Return the file; of a picture the upright one without the place where it was taken."""
        return _handed(served(evidence_numbered(self.project(slug), number)))


class EvidenceOriginal(LogbookView):
    """The bytes of a file exactly as they were given."""

    @described("evidence_original", OpenApiTypes.BINARY)
    def get(self, request: Request, slug: str, number: int) -> FileResponse:
        """Return the original, also of a picture: it may say where it was taken, so readers do not get it."""
        evidence = evidence_numbered(self.project(slug, may="record"), number)
        return _handed(original_served(evidence))


def _handed(file: Served) -> FileResponse:
    return FileResponse(
        file.path.open("rb"),
        as_attachment=True,
        filename=file.name,
        content_type=file.media_type,
        headers=HEADERS,
    )


class AnalysisList(LogbookView):
    """The analyses of a capture."""

    scopes: ClassVar = {"POST": RECORD}

    @described("analyses_list", paged(AnalysisShown), parameters=PAGED)
    def get(self, request: Request, slug: str, number: int) -> Response:
        """Return the analyses in the order they were asked for."""
        refuse_unknown_parameters(request, PAGED)
        rows = evidence_numbered(self.project(slug), number).analyses.all()
        return Response(page_of(rows, request, key="id").shown(lambda row: AnalysisShown(row).data))

    @described("analyses_ask", AnalysisShown, sends=AnalysisNew, status=202)
    def post(self, request: Request, slug: str, number: int) -> Response:
        """Ask for an analysis; it is done in the background, ask for it by its number."""
        evidence = evidence_numbered(self.project(slug, may="record"), number)
        given = checked(AnalysisNew, request.data).get("parameters", {})
        analysis = ask_analysis(actor=self.actor, evidence=evidence, parameters=given)
        return Response(AnalysisShown(analysis).data, status=202)


class AnalysisDetail(LogbookView):
    """One analysis."""

    @described("analyses_read", AnalysisShown)
    def get(self, request: Request, slug: str, number: int, analysis: int) -> Response:
        """Return how far it is and what it found."""
        evidence = evidence_numbered(self.project(slug), number)
        return Response(AnalysisShown(analysis_numbered(evidence, analysis)).data)


class EvidenceView(LogbookView):
    """A range of a capture, as it is drawn."""

    @described("evidence_view", ViewShown, parameters=VIEWED)
    def get(self, request: Request, slug: str, number: int) -> Response:
        """Return a range of a trace as at most 2,000 pairs of lowest and highest.

        ``of`` is samples, level or spectrum; ``axis=log`` spreads the pairs evenly over the logarithm of x.
        """
        refuse_unknown_parameters(request, VIEWED)
        evidence = evidence_numbered(self.project(slug), number)
        wanted = Wanted(
            of=request.query_params.get("of") or Drawn.SAMPLES,
            channel=whole_number(request, "channel", least=1) or 1,
            start=_float(request, "start"),
            stop=_float(request, "stop"),
            buckets=whole_number(request, "buckets", least=1, most=MOST_BUCKETS) or MOST_BUCKETS,
            axis=request.query_params.get("axis") or "linear",
        )
        return Response(asdict(view_of(evidence, wanted)))


def _float(request: Request, name: str) -> float | None:
    text = request.query_params.get(name, "")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InvalidInputError.of(name, f"{name} is no number", given=text[:40], allowed="a number")
    return value
