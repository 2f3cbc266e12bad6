"""Shapes of measurements: what is described of the input, and what is answered."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from api.numbers import moment, number, number_in
from api.schema import ProblemShape
from api.shapes import LARGEST_ID, Float, Moment, Name, Numeral, Shape, Text
from api.v1.readings import LONGEST_TEXT, MOST_REPEATS
from logbook.bench.choices import Outcome, Verdict
from logbook.bench.commands import Names, Recorded, StoredReading
from logbook.bench.models import Measurement

YES_NO = Outcome.YES_NO.value


class ReadingNew(Shape):
    """A reading as a script sends it. Numbers are read as decimals, so ``3.300`` keeps its digits."""

    project = Name(max_length=LONGEST_TEXT["project"])
    board = Name(max_length=LONGEST_TEXT["board"])
    value = serializers.JSONField(
        required=False,
        help_text="A number; text such as 3298 mV, 99 of 100, yes; true or false. "
        "May be left out only with repeats: it is then their mean.",
    )
    target = Text(max_length=LONGEST_TEXT["target"])
    point = Text(max_length=LONGEST_TEXT["point"])
    unit = Text(max_length=LONGEST_TEXT["unit"])
    repeats = serializers.ListField(
        child=Numeral(),
        required=False,
        max_length=MOST_REPEATS,
        help_text="The values of a repeated reading, 2 to 1000, in unit.",
    )
    expanded_uncertainty = Numeral(allow_null=True, help_text="U in the unit of the value.")
    coverage_factor = Numeral(allow_null=True, help_text="k of U; 2 when left out.")
    taken_at = Moment(help_text="With its zone; the server's time when left out.")
    instrument = Text(max_length=LONGEST_TEXT["instrument"])
    instrument_range = Text(max_length=LONGEST_TEXT["instrument_range"])
    bench_session = serializers.IntegerField(required=False, allow_null=True, max_value=LARGEST_ID)
    firmware = Text(max_length=LONGEST_TEXT["firmware"])
    place = Text(max_length=LONGEST_TEXT["place"])
    conditions = serializers.DictField(required=False)
    note = Text(max_length=LONGEST_TEXT["note"])
    key = Text(max_length=LONGEST_TEXT["key"], help_text="Unique in the project; makes a repeat harmless.")


class Withdrawal(serializers.Serializer[Any]):
    """When, by whom and why a reading was withdrawn."""

    at = serializers.DateTimeField()
    by = serializers.CharField(allow_null=True)
    because = serializers.CharField()


class MeasurementShown(serializers.Serializer[Any]):
    """A stored reading with its verdict. All numbers are in ``unit``."""

    id = serializers.IntegerField()
    project = serializers.CharField()
    board = serializers.CharField()
    target = serializers.CharField(allow_null=True)
    issue = serializers.IntegerField(allow_null=True, help_text="Number of the issue it was judged by.")
    point = serializers.CharField()
    place = serializers.CharField()
    outcome = serializers.ChoiceField(Outcome.choices)
    text = serializers.CharField(help_text="The value as it was typed.")
    value = serializers.JSONField(help_text="A number, true or false, or null where there is no number.")
    unit = serializers.CharField()
    repeats = serializers.ListField(
        child=serializers.FloatField(), help_text="The values it was repeated with; empty without."
    )
    trials = serializers.IntegerField(allow_null=True)
    expanded_uncertainty = Float(allow_null=True, required=True)
    coverage_factor = Float(allow_null=True, required=True)
    degrees_of_freedom = Float(allow_null=True, required=True)
    uncertainty_from = serializers.CharField(
        help_text="stated; instrument (with the scatter of repeats); repeats (their scatter alone); or empty."
    )
    taken_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(allow_null=True)
    via = serializers.CharField()
    instrument = serializers.CharField(allow_null=True)
    bench_session = serializers.IntegerField(allow_null=True)
    firmware = serializers.CharField()
    conditions = serializers.DictField()
    note = serializers.CharField()
    key = serializers.CharField()
    verdict = serializers.ChoiceField(Verdict.choices, allow_null=True)
    rule = serializers.CharField()
    reason = serializers.CharField()
    conformance_probability = Float(allow_null=True, required=True)
    margin = Float(allow_null=True, required=True)
    margin_percent = Float(allow_null=True, required=True)
    test_uncertainty_ratio = Float(allow_null=True, required=True)
    decidable = serializers.BooleanField()
    withdrawn = Withdrawal(allow_null=True)


class MeasurementRecorded(MeasurementShown):
    """The answer to one reading."""

    status = serializers.ChoiceField([("stored", "stored"), ("duplicate", "duplicate")])


class ResultShown(MeasurementShown):
    """One line of the answer to a list: a stored or repeated reading, or only its problem."""

    index = serializers.IntegerField()
    status = serializers.ChoiceField(
        [("stored", "stored"), ("duplicate", "duplicate"), ("rejected", "rejected")]
    )
    problem = ProblemShape(required=False)

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        """Return the fields; a rejected line has none of the reading's."""
        found = super().get_fields()
        for name, field in found.items():
            field.required = name in {"index", "status"}
        return found


class ResultsShown(serializers.Serializer[Any]):
    """The answer to a list, in the order sent."""

    stored = serializers.IntegerField()
    duplicate = serializers.IntegerField()
    rejected = serializers.IntegerField()
    results = ResultShown(many=True)


class WithdrawNew(Shape):
    """Why a reading is withdrawn."""

    because = Name()


def shown(measurement: Measurement) -> dict[str, Any]:
    """Return a stored reading. Costs no query when read with its joins."""
    by, withdrawn_by = measurement.recorded_by, measurement.withdrawn_by
    names = Names(
        project=measurement.project.slug,
        board=measurement.board.serial,
        target=measurement.target.key if measurement.target else None,
        issue=measurement.issue.number if measurement.issue else None,
        issue_unit=measurement.issue.unit if measurement.issue else None,
        instrument=measurement.instrument.name if measurement.instrument else None,
        recorded_by=by.username if by else None,
        withdrawn_by=withdrawn_by.username if withdrawn_by else None,
    )
    return _shown(measurement, names)


def _shown(reading: Measurement | StoredReading, names: Names) -> dict[str, Any]:
    return {
        "id": reading.pk,
        "project": names.project,
        "board": names.board,
        "target": names.target,
        "issue": names.issue,
        "point": reading.point,
        "place": reading.place,
        "outcome": reading.outcome,
        "text": reading.text,
        "value": reading.value == "1" if reading.outcome == YES_NO else number(reading.value),
        "unit": reading.unit,
        "repeats": [float(value) for value in reading.repeats] if reading.repeats else [],
        "trials": reading.trials,
        "expanded_uncertainty": number(reading.expanded_uncertainty),
        "coverage_factor": number(reading.coverage_factor),
        "degrees_of_freedom": reading.degrees_of_freedom,
        "uncertainty_from": reading.uncertainty_from,
        "instrument": names.instrument,
        "bench_session": reading.bench_session_id,
        "firmware": reading.firmware,
        "conditions": reading.conditions,
        "note": reading.note,
        "key": reading.key,
        "taken_at": moment(reading.taken_at),
        "recorded_at": moment(reading.recorded_at),
        "recorded_by": names.recorded_by,
        "via": reading.via,
        "withdrawn": _withdrawn(reading, names),
        "verdict": reading.verdict or None,
        "rule": reading.rule,
        "reason": reading.reason,
        "conformance_probability": reading.conformance_probability,
        # Kept in the unit of the limits, told in the unit of the reading like every other number.
        "margin": number_in(
            reading.margin, reading.unit if names.issue_unit is None else names.issue_unit, reading.unit
        ),
        "margin_percent": reading.margin_percent,
        "test_uncertainty_ratio": reading.test_uncertainty_ratio,
        "decidable": not reading.undecidable,
    }


def _withdrawn(reading: Measurement | StoredReading, names: Names) -> dict[str, Any] | None:
    if reading.withdrawn_at is None:
        return None
    at = moment(reading.withdrawn_at)
    return {"at": at, "by": names.withdrawn_by, "because": reading.withdrawn_because}


def shown_recorded(recorded: Recorded) -> dict[str, Any]:
    """Return what became of a reading that was stored now or before."""
    assert recorded.reading is not None  # noqa: S101 - the command rejects by raising
    return {"status": recorded.status, **_shown(recorded.reading, recorded.reading.names)}
