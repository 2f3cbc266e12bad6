"""Shapes of findings and of the steps of their life."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from api.shapes import Float, KeysOf, Moment, Name, Names, Shape, Text, Whole, Word
from logbook.bench.choices import Harm, Severity
from logbook.findings.choices import STATES, CauseFamily, Side
from logbook.findings.models import Finding, FindingEvent
from logbook.findings.queries import moves_from, reworks_of_finding

LISTS = ("targets", "revisions", "boards")


class FindingChange(Shape):
    """What a finding says; its state only moves."""

    title = Name()
    subsystem = Name()
    what = Text()
    trigger = Text()
    workaround = Text()
    cause_family = Word(CauseFamily.choices, allow_blank=True)
    severity = Word(Severity.choices)
    harm = Word(Harm.choices, allow_blank=True)
    place = Text()
    side = Word(Side.choices, allow_blank=True)
    x = Float(allow_null=True)
    y = Float(allow_null=True)
    targets = Names()
    revisions = Names()
    boards = Names()


class FindingNew(FindingChange):
    """A new finding; without a key it takes the next free one."""

    key = Text()
    found_on = Text()
    found_at = Moment()


class FindingMove(Shape):
    """The next step of a finding; *proven* names a reading, *duplicate* another finding."""

    to = Word(STATES, required=True)
    at = Moment()
    note = Text()
    measurement = Whole()
    duplicate_of = Text()


class StepShown(serializers.Serializer[Any]):
    """A step in the life of a finding."""

    state = serializers.ChoiceField(STATES)
    at = serializers.DateTimeField()
    note = serializers.CharField()
    measurement = serializers.IntegerField(source="measurement_id", allow_null=True)
    duplicate_of = serializers.CharField(source="duplicate_of.key", default=None, allow_null=True)
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)


class FindingShown(serializers.Serializer[Any]):
    """A finding with its state."""

    key = serializers.CharField()
    title = serializers.CharField()
    state = serializers.ChoiceField(STATES)
    subsystem = serializers.CharField(source="subsystem.key")
    what = serializers.CharField()
    trigger = serializers.CharField()
    workaround = serializers.CharField()
    cause_family = serializers.CharField()
    severity = serializers.ChoiceField(Severity.choices)
    harm = serializers.CharField()
    found_on = serializers.CharField(source="found_on.serial", default=None, allow_null=True)
    found_at = serializers.DateTimeField()
    place = serializers.CharField()
    side = serializers.CharField()
    x = serializers.FloatField(allow_null=True)
    y = serializers.FloatField(allow_null=True)
    targets = KeysOf("key")
    revisions = KeysOf("label")
    boards = KeysOf("serial")
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)


class FindingReworkShown(serializers.Serializer[Any]):
    """A rework done because of a finding, and whether it was checked since."""

    id = serializers.IntegerField(source="rework.id")
    board = serializers.CharField(source="rework.board.serial")
    key = serializers.CharField(source="rework.key")
    what = serializers.CharField(source="rework.what")
    in_force_until = serializers.DateTimeField(source="rework.in_force_until", allow_null=True)
    is_recheck_open = serializers.BooleanField(help_text="In force, and nobody has checked it since.")


class FindingDetailShown(FindingShown):
    """A finding with its life, the states it may go to from here, and the reworks done because of it."""

    life = StepShown(many=True)
    may_become = serializers.ListField(child=serializers.ChoiceField(STATES))
    reworks = FindingReworkShown(many=True)


def detail_of(finding: Any, life: list[FindingEvent]) -> Mapping[str, Any]:
    """Return one finding as it is answered."""
    shown: Finding = finding
    may_become = [str(state) for state in moves_from(finding.state)]
    steps = [StepShown(event).data for event in life]
    reworks = FindingReworkShown(reworks_of_finding(shown), many=True).data
    return {**FindingShown(shown).data, "life": steps, "may_become": may_become, "reworks": reworks}
