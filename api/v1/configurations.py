"""How the board of a reading was configured at the minute it was taken."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from api.v1.measurement_shapes import MeasurementShown, shown
from logbook.bench.models import Measurement
from logbook.bench.queries.calibration import calibration_flag
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


class OutOfCalibration(serializers.Serializer[Any]):
    """A reading taken after its instrument was due for calibration."""

    state = serializers.ChoiceField(
        [(word, word) for word in ("overdue", "cleared", "condemned")],
        help_text="cleared or condemned by the next calibration; what is condemned does not count.",
    )
    due = serializers.DateField()
    says = serializers.CharField()


class MeasurementWithBoard(MeasurementShown):
    """A stored reading, with how its board was configured and its instrument stood when it was taken."""

    configuration = ConfigurationShown()
    out_of_calibration = OutOfCalibration(
        allow_null=True, help_text="Null in calibration, and where no calibration is on record."
    )


def shown_with_board(measurement: Measurement) -> dict[str, Any]:
    """Return a stored reading with its board and instrument. Two queries, three with an instrument."""
    configuration = configuration_at(measurement.board, measurement.taken_at)
    flag = calibration_flag(measurement)
    return shown(measurement) | {
        "configuration": ConfigurationShown(configuration).data,
        "out_of_calibration": OutOfCalibration(flag).data if flag else None,
    }
