"""Shapes of the return brief."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers


class Keys(serializers.ListField):
    """Keys, in the order of the project."""

    child = serializers.CharField()


class RevisionKnown(serializers.Serializer[Any]):
    """A revision, and how many boards of it there were."""

    revision = serializers.CharField()
    boards = serializers.IntegerField()


class ShelvingNoteShown(serializers.Serializer[Any]):
    """What was written down when the project was laid aside; parts left empty are left out."""

    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField()
    look_again_on = serializers.DateField(allow_null=True)
    says = serializers.DictField(child=serializers.CharField())


class ProofOfSubsystem(serializers.Serializer[Any]):
    """How many targets of a subsystem stand where."""

    subsystem = serializers.CharField()
    counts = serializers.DictField(child=serializers.IntegerField())


class DangerShown(serializers.Serializer[Any]):
    """One warning, and what it is about: note, revision, connector, board, target or finding."""

    kind = serializers.CharField()
    subject = serializers.CharField()
    says = serializers.CharField()


class FirstStepShown(serializers.Serializer[Any]):
    """One step in the order to do it, what to mind, and the letters of its cautions."""

    says = serializers.CharField()
    mind = serializers.CharField()
    cautions = serializers.CharField()
    board = serializers.CharField(allow_null=True)
    target = serializers.CharField(allow_null=True)
    is_written = serializers.BooleanField(help_text="From the note of the last day, else from the record.")


class BoardOfBrief(serializers.Serializer[Any]):
    """A board as it stood, and what makes it differ."""

    board = serializers.CharField()
    revision = serializers.CharField()
    state = serializers.CharField()
    location = serializers.CharField()
    note = serializers.CharField()
    reworks = Keys()
    half_done = Keys(help_text="Reworks nobody re-checked.")
    options = serializers.DictField(child=serializers.CharField(), help_text="Positions as found.")
    off_design = Keys(help_text="Options that are not as designed.")
    firmware = serializers.CharField()
    last_read = serializers.DateTimeField(allow_null=True)


class ConnectorOfBrief(serializers.Serializer[Any]):
    """Boards that carry the same on a connector."""

    connector = serializers.CharField()
    boards = Keys()
    carries = serializers.ListField(child=serializers.CharField())
    as_designed = serializers.CharField()


class FindingOfBrief(serializers.Serializer[Any]):
    """A finding that is not done."""

    finding = serializers.CharField()
    title = serializers.CharField()
    severity = serializers.CharField()
    state = serializers.CharField()


class LapsedShown(serializers.Serializer[Any]):
    """An acceptance whose end has come."""

    kind = serializers.CharField()
    subject = serializers.CharField()
    because = serializers.CharField()


class DoubtfulReadings(serializers.Serializer[Any]):
    """Readings an instrument took past its date."""

    instrument = serializers.CharField()
    count = serializers.IntegerField()
    state = serializers.CharField(help_text="overdue, cleared or condemned")
    says = serializers.CharField()


class LessonOfBrief(serializers.Serializer[Any]):
    """A lesson learned since the revision was drawn."""

    lesson = serializers.CharField()
    rule = serializers.CharField()
    firmness = serializers.CharField()
    answer = serializers.CharField()


class CheckOfBrief(serializers.Serializer[Any]):
    """A check of the next bench hour."""

    target = serializers.CharField()
    board = serializers.CharField()
    minutes = serializers.IntegerField()


class SparedOfBrief(serializers.Serializer[Any]):
    """A check that is left out of the next bench hour to spare a board, and what it needs."""

    target = serializers.CharField()
    board = serializers.CharField()
    reason = serializers.CharField()


class ReturnBriefShown(serializers.Serializer[Any]):
    """Where a project stands for somebody who comes back.

    Proof is of ``revision``, the newest with a board; what is open, of ``newest_revision``.
    """

    project = serializers.CharField()
    as_of = serializers.DateField(allow_null=True)
    entered_later = serializers.IntegerField(help_text="Entries dated up to that day, entered after it.")
    purpose = serializers.CharField()
    state = serializers.CharField()
    laid_aside_at = serializers.DateTimeField(allow_null=True)
    said_then = serializers.CharField()
    shelving_note = ShelvingNoteShown(allow_null=True)
    next_step = serializers.CharField(help_text="As written last.")
    next_step_session = serializers.IntegerField(allow_null=True)
    revision = serializers.CharField(allow_null=True)
    newest_revision = serializers.CharField(allow_null=True)
    revisions = RevisionKnown(many=True)
    never_verified = Keys(help_text="No reading ever spoke for them as designed, on any revision.")
    seen_working = Keys()
    failing = Keys()
    near_limit = Keys()
    stale = Keys()
    on_one_board = Keys()
    subsystems = ProofOfSubsystem(many=True)
    dangers = DangerShown(many=True)
    first_steps = FirstStepShown(many=True)
    boards = BoardOfBrief(many=True)
    connectors = ConnectorOfBrief(many=True)
    undecided_findings = FindingOfBrief(many=True)
    unproven_findings = FindingOfBrief(many=True)
    lapsed_acceptances = LapsedShown(many=True)
    doubtful_readings = DoubtfulReadings(many=True)
    lessons_since = LessonOfBrief(many=True)
    bench_hour = CheckOfBrief(many=True, help_text="Empty for a past day: it is planned only for today.")
    spared = SparedOfBrief(many=True, help_text="Checks that would stress a board that must not be.")
