"""``/measurements/``: recording readings, one or many, and reading them back."""

from __future__ import annotations

from collections import Counter
from typing import Any, ClassVar

from django.db.models import QuerySet
from drf_spectacular.utils import PolymorphicProxySerializer
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import TooLargeError, domain_problem
from api.pagination import page_of, refuse_unknown_parameters
from api.parameters import needed_text
from api.permissions import RECORD
from api.renderers import QuickJSONRenderer
from api.schema import PAGED, described, paged
from api.shapes import checked
from api.v1.configurations import MeasurementWithBoard, shown_with_board
from api.v1.measurement_shapes import (
    MeasurementRecorded,
    MeasurementShown,
    ReadingNew,
    ResultsShown,
    WithdrawNew,
    shown,
    shown_recorded,
)
from api.v1.readings import reading_of
from api.views import LogbookView
from logbook.bench.choices import Verdict
from logbook.bench.commands import (
    ReadingInput,
    Recorded,
    record_reading,
    record_readings,
    withdraw_measurement,
)
from logbook.bench.models import Measurement
from logbook.bench.queries.access import measurement_for
from logbook.bench.queries.lists import measurements_of, target_of
from logbook.boards.queries import board_named
from logbook.common.errors import DomainError, InvalidInputError
from logbook.projects.models import Project

MOST_READINGS = 10_000
FILTERS = ("project", "board", "target", "point", "verdict", *PAGED)
ONE_OR_MANY = PolymorphicProxySerializer(
    component_name="OneOrManyReadings",
    serializers=[ReadingNew, ReadingNew(many=True)],
    resource_type_field_name=None,
    many=False,
)
RECORDED_OR_RESULTS = PolymorphicProxySerializer(
    component_name="RecordedOrResults",
    serializers=[MeasurementRecorded, ResultsShown],
    resource_type_field_name=None,
)


class MeasurementList(LogbookView):
    """The readings of a project, and the door for new ones."""

    renderer_classes = (QuickJSONRenderer,)
    scopes: ClassVar = {"POST": RECORD}

    @described("measurements_list", paged(MeasurementShown), parameters=FILTERS)
    def get(self, request: Request) -> Response:
        """Return the readings of one project in the order they were recorded, withdrawn ones too."""
        refuse_unknown_parameters(request, FILTERS)
        project = self.project(needed_text(request, "project"))
        rows = _filtered(measurements_of(project).select_related("withdrawn_by"), project, request)
        return Response(page_of(rows, request, key="id").shown(shown))

    @described(
        "measurements_record",
        RECORDED_OR_RESULTS,
        sends=ONE_OR_MANY,
        also={201: MeasurementRecorded},
    )
    def post(self, request: Request) -> Response:
        """Record one reading, or a list of up to 10,000 of which a bad one costs only itself."""
        if isinstance(request.data, list):
            return Response(self._record_all(request.data))
        recorded = record_reading(actor=self.actor, item=reading_of(request.data))
        status = 201 if recorded.status == "stored" else 200
        return Response(shown_recorded(recorded), status=status)

    def _record_all(self, sent: list[Any]) -> dict[str, Any]:
        """Record a list: what has no shape is set aside, the rest goes to the command in order."""
        if len(sent) > MOST_READINGS:
            message = f"{len(sent)} readings are too many; send up to {MOST_READINGS} in one request"
            raise TooLargeError(message)
        results: list[dict[str, Any]] = [{} for _ in sent]
        items: list[ReadingInput] = []
        places: list[int] = []
        for index, one in enumerate(sent):
            try:
                items.append(reading_of(one))
                places.append(index)
            except InvalidInputError as error:
                results[index] = _rejected(index, error)
        for recorded in record_readings(actor=self.actor, items=items):
            index = places[recorded.index]
            results[index] = _line(index, recorded)
        counts = Counter(line["status"] for line in results)
        totals = {status: counts[status] for status in ("stored", "duplicate", "rejected")}
        return {**totals, "results": results}


def _line(index: int, recorded: Recorded) -> dict[str, Any]:
    if recorded.error is not None:
        return _rejected(index, recorded.error)
    return {"index": index, **shown_recorded(recorded)}


def _rejected(index: int, error: DomainError) -> dict[str, Any]:
    return {"index": index, "status": "rejected", "problem": domain_problem(error)}


def _filtered(rows: QuerySet[Measurement], project: Project, request: Request) -> QuerySet[Measurement]:
    asked = request.query_params
    if "board" in asked:
        rows = rows.filter(board=board_named(project, asked["board"]))
    if "target" in asked:
        rows = rows.filter(target=_target_named(project, asked["target"]))
    if "point" in asked:
        rows = rows.filter(point=asked["point"])
    if "verdict" in asked:
        words = [*Verdict.values, "none"]
        if asked["verdict"] not in words:
            message = f"{asked['verdict'][:40]!r} is not a verdict"
            raise InvalidInputError.of("verdict", message, given=asked["verdict"], allowed=", ".join(words))
        rows = rows.filter(verdict="" if asked["verdict"] == "none" else asked["verdict"])
    return rows


def _target_named(project: Project, key: str) -> Any:
    try:
        return target_of(project, key)
    except DomainError as error:
        raise InvalidInputError.of("target", error.message, given=key, code="unknown") from error


class MeasurementDetail(LogbookView):
    """One reading."""

    @described("measurements_read", MeasurementWithBoard)
    def get(self, request: Request, number: int) -> Response:
        """Return the reading as judged when it was recorded, and its board as it was when it was taken."""
        return Response(shown_with_board(measurement_for(self.person, number)))


class MeasurementWithdraw(LogbookView):
    """Withdrawing a reading."""

    scopes: ClassVar = {"POST": RECORD}

    @described("measurements_withdraw", MeasurementShown, sends=WithdrawNew)
    def post(self, request: Request, number: int) -> Response:
        """Withdraw the reading with a reason; it stays readable and this is never undone."""
        measurement = measurement_for(self.person, number, may="record")
        given = checked(WithdrawNew, request.data)
        withdraw_measurement(actor=self.actor, measurement=measurement, because=given["because"])
        return Response(shown(measurement_for(self.person, number)))
