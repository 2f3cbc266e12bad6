"""``POST /calculations/signal/``: the numbers of a capture, of which nothing is kept."""

from __future__ import annotations

import math
from typing import Any

from django.conf import settings
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import TooLargeError
from api.schema import described
from api.shapes import Shape, Text, Word, checked
from api.uploads import MULTIPART, PARSERS, File, fields_of
from api.v1.calculations.view import CalculationView
from logbook.core.signals.numbers import SignalNumber
from logbook.core.signals.waveform import LEVELS
from logbook.evidence.choices import EvidenceKind
from logbook.evidence.numbers import signals_of
from logbook.evidence.parameters import checked_parameters
from logbook.evidence.traces import capture_of, traces_of

KINDS = [EvidenceKind.WAVEFORM, EvidenceKind.SWEEP, EvidenceKind.AUDIO]
# What anybody may have computed for them, without a token.
MOST_FOR_ANYBODY_MB = 20
ENDINGS = {"%": "percent", "°": "deg", "Ω": "ohm", "bit": "bits"}


class SignalAsked(Shape):
    """A capture and the parameters of its kind; text may carry a unit, a plain number is in the base unit."""

    file = File()
    kind = Word([(kind.value, kind.label) for kind in KINDS], required=True)
    channel = Text()
    interval_s = Text()
    full_scale_low = Text()
    full_scale_high = Text()
    gain_unit = Text()
    at_hz = Text()
    reference_hz = Text()
    band_low_hz = Text()
    band_high_hz = Text()
    full_scale_vrms = Text()
    low_hz = Text()
    high_hz = Text()
    weighting = Text()
    fundamental_hz = Text()
    mask = Text()


@extend_schema_field({"type": "object", "additionalProperties": {"type": ["number", "null"]}})
class NumbersField(serializers.DictField):
    """Numbers by name."""


class ChannelShown(serializers.Serializer[Any]):
    """A trace of the file under a key of its own, with name and unit as the file gives them."""

    key = serializers.CharField(help_text="ch1, ch2 … in the order of the file.")
    name = serializers.CharField()
    unit = serializers.CharField()


class SignalAnswer(serializers.Serializer[Any]):
    """The numbers of one channel under names that no file changes; null where it does not carry one.

    Names end with their unit, but for the levels of a waveform, which are in the unit of its channel.
    """

    kind = serializers.CharField()
    channels = ChannelShown(many=True)
    channel = serializers.CharField(help_text="Key of the channel the numbers are of.")
    numbers = NumbersField()
    units = serializers.DictField(child=serializers.CharField(), help_text="Of every number.")
    definitions = serializers.DictField(child=serializers.CharField(), help_text="Of every number.")
    statements = serializers.ListField(child=serializers.CharField())


class SignalView(CalculationView):
    """The numbers of a capture."""

    parser_classes = PARSERS

    @described("calculate_signal", SignalAnswer, sends={MULTIPART: SignalAsked})
    def post(self, request: Request) -> Response:
        """Return the numbers of a waveform, a sweep or an audio capture."""
        given = checked(SignalAsked, fields_of(request))
        file, kind = given.pop("file"), given.pop("kind")
        most = settings.LOGBOOK_MAX_UPLOAD_MB if request.auth else MOST_FOR_ANYBODY_MB
        if file.size > most * 1_000_000:
            raise TooLargeError(f"the file is larger than {most} MB; shorten it")
        parameters = checked_parameters(kind, given)
        capture = capture_of(kind, file.read(), parameters)
        numbers, statements = signals_of(capture, parameters)
        return Response(
            {
                "kind": kind,
                "channels": [
                    {"key": f"ch{place}", "name": row.name, "unit": row.unit}
                    for place, row in enumerate(traces_of(capture).rows, start=1)
                ],
                "channel": f"ch{parameters.get('channel', 1)}",
                "numbers": {_named(one, kind): _value(one) for one in numbers},
                "units": {_named(one, kind): one.unit for one in numbers},
                "definitions": {_named(one, kind): _definition(one) for one in numbers},
                "statements": statements,
            }
        )


def _named(number: SignalNumber, kind: str) -> str:
    """Return the name of a number with its unit at the end, unless a file decides the unit."""
    if kind == EvidenceKind.WAVEFORM and number.name in (*LEVELS, "mask_margin"):
        return number.name
    ending = ENDINGS.get(number.unit, "".join(mark for mark in number.unit.lower() if mark.isalnum()))
    return number.name if not ending or number.name.endswith(f"_{ending}") else f"{number.name}_{ending}"


def _definition(number: SignalNumber) -> str:
    return "; ".join(part for part in (number.definition, number.statement) if part)


def _value(number: SignalNumber) -> float | None:
    """Return the value; the level of silence, minus infinity, is no JSON number."""
    return number.value if number.value is not None and math.isfinite(number.value) else None
