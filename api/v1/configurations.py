"""How the board of a reading was configured at the minute it was taken."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from api.v1.measurement_shapes import MeasurementShown, shown
from logbook.bench.models import Measurement
from logbook.boards.choices import ReworkIntent
from logbook.boards.queries import configuration_at


class ReworkInForce(serializers.Serializer[Any]):
    """A rework that was on the board."""

    id = serializers.IntegerField()
    key = serializers.CharField()
    intent = serializers.ChoiceField(ReworkIntent.choices)
    what = serializers.CharField()


class OptionThen(serializers.Serializer[Any]):
    """The position an option was in; null where it was not fitted."""

    option = serializers.CharField(source="option.key")
    position = serializers.CharField(source="position.name", default=None, allow_null=True)
    in_force_from = serializers.DateTimeField()


class ConfigurationShown(serializers.Serializer[Any]):
    """Reworks in force and positions of options, as far as they are recorded."""

    reworks = ReworkInForce(many=True)
    options = OptionThen(many=True, source="settings")


class MeasurementWithBoard(MeasurementShown):
    """A stored reading, with how its board was configured at the minute it was taken."""

    configuration = ConfigurationShown()


def shown_with_board(measurement: Measurement) -> dict[str, Any]:
    """Return a stored reading with its board. Two queries."""
    configuration = configuration_at(measurement.board, measurement.taken_at)
    return shown(measurement) | {"configuration": ConfigurationShown(configuration).data}
