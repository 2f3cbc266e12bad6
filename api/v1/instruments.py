"""``/instruments/``: instruments of the whole site, what they state, and their calibrations."""

from __future__ import annotations

from typing import Any, ClassVar

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.numbers import number
from api.pagination import page_of, refuse_unknown_parameters
from api.permissions import AT_THE_BENCH
from api.schema import PAGED, described, paged
from api.shapes import Name, Numeral, Shape, Text, Word, checked
from api.views import LogbookView
from logbook.bench.choices import CalibrationResult
from logbook.bench.commands import add_instrument, change_instrument, record_calibration
from logbook.bench.models import Instrument
from logbook.bench.queries.lists import instrument_of, instruments
from logbook.projects.queries import check_edits_somewhere

STATED = ("full_scale", "percent_of_reading", "percent_of_range", "counts", "resolution")


class RangeFields(Shape):
    """What the maker states about one range; numbers are in ``unit``, text may carry its own."""

    name = Name()
    unit = Text(required=True)
    full_scale = Numeral(required=True)
    percent_of_reading = Numeral()
    percent_of_range = Numeral()
    counts = Numeral()
    resolution = Numeral()
    conditions = Text()


class InstrumentChange(Shape):
    """Descriptive fields; ``ranges`` replaces all of them. Readings keep the uncertainty they got."""

    kind = Name()
    serial = Text()
    note = Text()
    retired = serializers.BooleanField(required=False)
    ranges = RangeFields(many=True, required=False)


class InstrumentNew(Shape):
    """A new instrument."""

    name = Name()
    kind = Name()
    serial = Text()
    note = Text()
    ranges = RangeFields(many=True, required=False)


class RangeShown(serializers.Serializer[Any]):
    """What the maker states about one range; numbers are in ``unit``."""

    name = serializers.CharField()
    unit = serializers.CharField()
    full_scale = serializers.FloatField(allow_null=True)
    percent_of_reading = serializers.FloatField(allow_null=True)
    percent_of_range = serializers.FloatField(allow_null=True)
    counts = serializers.FloatField(allow_null=True)
    resolution = serializers.FloatField(allow_null=True)
    conditions = serializers.CharField()


class CalibrationFields(Shape):
    """A calibration: when, how the instrument was found, and when the next is due."""

    number = Name()
    on = serializers.DateField()
    result = Word(CalibrationResult.choices, required=True)
    next_due = serializers.DateField()
    note = Text()


class CalibrationShown(serializers.Serializer[Any]):
    """A calibration: when, how the instrument was found, and when the next is due."""

    id = serializers.IntegerField()
    number = serializers.CharField()
    on = serializers.DateField()
    result = serializers.ChoiceField(CalibrationResult.choices)
    next_due = serializers.DateField()
    note = serializers.CharField()


class InstrumentShown(serializers.Serializer[Any]):
    """An instrument with its ranges and calibrations."""

    name = serializers.CharField()
    kind = serializers.CharField()
    serial = serializers.CharField()
    note = serializers.CharField()
    retired = serializers.BooleanField()
    ranges = RangeShown(many=True)
    calibrations = CalibrationShown(many=True)


def shown(instrument: Instrument) -> dict[str, Any]:
    """Return an instrument."""
    ranges = [
        {name: getattr(row, name) for name in ("name", "unit", "conditions")}
        | {name: number(getattr(row, name)) for name in STATED}
        for row in instrument.ranges.all()
    ]
    return {
        **{name: getattr(instrument, name) for name in ("name", "kind", "serial", "note", "retired")},
        "ranges": ranges,
        "calibrations": CalibrationShown(instrument.calibrations.all(), many=True).data,
    }


class InstrumentList(LogbookView):
    """The instruments of the site."""

    @described("instruments_list", paged(InstrumentShown), parameters=PAGED)
    def get(self, request: Request) -> Response:
        """Return the instruments by name."""
        refuse_unknown_parameters(request, PAGED)
        return Response(page_of(instruments(), request, key="name").shown(shown))

    @described("instruments_create", InstrumentShown, sends=InstrumentNew, status=201)
    def post(self, request: Request) -> Response:
        """Add an instrument with what its ranges state."""
        check_edits_somewhere(self.person)
        instrument = add_instrument(actor=self.actor, **checked(InstrumentNew, request.data))
        return Response(shown(instrument_of(instrument.name)), status=201)


class InstrumentDetail(LogbookView):
    """One instrument."""

    @described("instruments_read", InstrumentShown)
    def get(self, request: Request, name: str) -> Response:
        """Return the instrument."""
        return Response(shown(instrument_of(name)))

    @described("instruments_change", InstrumentShown, sends=InstrumentChange)
    def patch(self, request: Request, name: str) -> Response:
        """Change descriptive fields or replace the ranges; the name stays."""
        check_edits_somewhere(self.person)
        instrument = instrument_of(name)
        given = checked(InstrumentChange, request.data, partial=True)
        ranges = given.pop("ranges", None)
        change_instrument(actor=self.actor, instrument=instrument, values=given, ranges=ranges)
        return Response(shown(instrument_of(name)))


class CalibrationList(LogbookView):
    """The calibrations of an instrument."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("calibrations_list", paged(CalibrationShown), parameters=PAGED)
    def get(self, request: Request, name: str) -> Response:
        """Return the calibrations in the order they were recorded."""
        refuse_unknown_parameters(request, PAGED)
        rows = instrument_of(name).calibrations.all()
        return Response(page_of(rows, request, key="id").shown(lambda row: CalibrationShown(row).data))

    @described("calibrations_create", CalibrationShown, sends=CalibrationFields, status=201)
    def post(self, request: Request, name: str) -> Response:
        """Record a calibration; it may clear or condemn readings taken since the one before was due."""
        check_edits_somewhere(self.person)
        calibration = record_calibration(
            actor=self.actor, instrument=instrument_of(name), **checked(CalibrationFields, request.data)
        )
        return Response(CalibrationShown(calibration).data, status=201)
