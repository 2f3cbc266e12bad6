"""Shapes of lessons, of the check one carries, and of what revisions answer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rest_framework import serializers

from api.shapes import Name, Names, Shape, Text, Whole, Word
from logbook.bench.choices import Severity
from logbook.lessons.choices import AnswerWord, Discipline, Firmness, LessonState, Moment
from logbook.lessons.models import Lesson, LessonAnswer, LessonEvent
from logbook.lessons.queries import UNANSWERED, OfferedLesson
from logbook.projects.choices import ChangeKind

ANSWERS = [*AnswerWord.choices, (UNANSWERED, UNANSWERED)]


class LessonCheckFields(Shape):
    """A check the lesson carries: a check template by its key, or a name with limits."""

    template = Text()
    name = Text()
    limits = Text()
    unit = Text()
    nominal = Text()
    conditions = Text()
    method = Text()
    minutes = Whole()
    severity = Word(Severity.choices)


class LessonChange(Shape):
    """What is told of a lesson; what it asks changes only while it is proposed."""

    rule = Name()
    what_happened = Text()
    why = Text()
    how_to_check = Text()
    discipline = Word(Discipline.choices, required=True)
    moment = Word(Moment.choices, required=True)
    firmness = Word(Firmness.choices, required=True)
    always = serializers.BooleanField(required=False)
    characteristics = Names()
    subsystem_kinds = Names()
    cost = Text()
    learned_on = serializers.DateField(required=False)
    finding = Text()
    shared = serializers.BooleanField(
        required=False,
        help_text="Everyone who signs in may read it, for good. Without it only its project may.",
    )


class LessonNew(LessonChange):
    """A new lesson; without a key it takes the next free one of its home project."""

    project = Name()
    key = Text()
    state = Word([(one.value, one.value) for one in (LessonState.PROPOSED, LessonState.ACCEPTED)])
    replaces = Names()
    check = LessonCheckFields(required=False)


class LessonMove(Shape):
    """Accept, withdraw (saying why) or supersede (naming the lesson that replaces it)."""

    to = Word([(one.value, one.value) for one in LessonState if one != LessonState.PROPOSED], required=True)
    note = Text()
    superseded_by = Text()


class BecomesFields(Shape):
    """The change that a *to do* becomes; what is left out is taken from lesson and answer."""

    key = Text()
    kind = Word(ChangeKind.choices)
    what = Text()
    subsystems = Names()


class AnswerNew(Shape):
    """What a revision answers."""

    project = Name()
    revision = Name()
    answer = Word(AnswerWord.choices, required=True)
    text = Name()
    change = BecomesFields(required=False)


class TargetFromLesson(Shape):
    """Where the check of a lesson becomes a target; limits of one's own may replace those of the check."""

    project = Name()
    subsystem = Name()
    key = Text()
    limits = Text()
    nominal = Text()


class LessonCheckShown(serializers.Serializer[Any]):
    """A check a lesson carries."""

    template = serializers.CharField()
    name = serializers.CharField()
    limits = serializers.CharField()
    unit = serializers.CharField()
    nominal = serializers.CharField()
    conditions = serializers.CharField()
    method = serializers.CharField()
    minutes = serializers.IntegerField()
    severity = serializers.ChoiceField(Severity.choices)


class LessonShown(serializers.Serializer[Any]):
    """A lesson with its state."""

    id = serializers.IntegerField()
    key = serializers.CharField()
    project = serializers.CharField(source="project.slug")
    state = serializers.ChoiceField(LessonState.choices)
    rule = serializers.CharField()
    what_happened = serializers.CharField()
    why = serializers.CharField()
    how_to_check = serializers.CharField()
    discipline = serializers.ChoiceField(Discipline.choices)
    moment = serializers.ChoiceField(Moment.choices)
    firmness = serializers.ChoiceField(Firmness.choices)
    always = serializers.BooleanField()
    characteristics = serializers.ListField(child=serializers.CharField())
    subsystem_kinds = serializers.ListField(child=serializers.CharField())
    cost = serializers.CharField()
    learned_on = serializers.DateField()
    finding = serializers.CharField(source="finding.key", default=None, allow_null=True)
    shared = serializers.SerializerMethodField()
    check = LessonCheckShown(source="carried_check", default=None, allow_null=True)
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)

    def get_shared(self, lesson: Lesson) -> bool:
        """Say whether everyone who signs in may read it."""
        return lesson.shared_at is not None


class LessonStep(serializers.Serializer[Any]):
    """A state a lesson came to."""

    state = serializers.ChoiceField(LessonState.choices)
    at = serializers.DateTimeField()
    note = serializers.CharField()
    superseded_by = serializers.CharField(source="superseded_by.key", default=None, allow_null=True)
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)


class LessonDetailShown(LessonShown):
    """A lesson with its states and the lessons it replaced."""

    life = LessonStep(many=True)
    supersedes = serializers.ListField(child=serializers.CharField())


class AnswerShown(serializers.Serializer[Any]):
    """What a revision answered, and the change it became."""

    id = serializers.IntegerField()
    lesson = serializers.CharField(source="lesson.key")
    project = serializers.CharField(source="revision.project.slug")
    revision = serializers.CharField(source="revision.label")
    answer = serializers.ChoiceField(AnswerWord.choices)
    text = serializers.CharField()
    change = serializers.CharField(source="change.key", default=None, allow_null=True)
    at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username", default=None, allow_null=True)


class OfferedShown(serializers.Serializer[Any]):
    """A lesson that applies to a revision, why, and the newest answer."""

    key = serializers.CharField()
    rule = serializers.CharField(source="lesson.rule")
    state = serializers.ChoiceField(LessonState.choices)
    firmness = serializers.ChoiceField(Firmness.choices)
    discipline = serializers.ChoiceField(Discipline.choices, source="lesson.discipline")
    moment = serializers.ChoiceField(Moment.choices, source="lesson.moment")
    learned_on = serializers.DateField()
    why = serializers.CharField(help_text="Why it is offered.")
    subsystems = serializers.ListField(child=serializers.CharField())
    answer = serializers.ChoiceField(ANSWERS)
    text = serializers.CharField(source="answered.text", default="")
    said_before = serializers.CharField(
        help_text="An answer that does not count: its change was withdrawn, or the parent said to do."
    )
    change = serializers.CharField(source="answered.change.key", default=None, allow_null=True)
    at = serializers.DateTimeField(source="answered.at", default=None, allow_null=True)
    by = serializers.CharField(source="answered.by.username", default=None, allow_null=True)


class OfferedLessonsShown(serializers.Serializer[Any]):
    """The lessons that apply to a revision, the firmest first."""

    project = serializers.CharField()
    revision = serializers.CharField()
    as_of = serializers.DateField(allow_null=True)
    counts = serializers.DictField(child=serializers.IntegerField())
    rows = OfferedShown(many=True)


class LessonTargetShown(serializers.Serializer[Any]):
    """The target that the check of a lesson became."""

    lesson = serializers.CharField()
    project = serializers.CharField()
    target = serializers.CharField()


def detail_of(lesson: Any, life: Sequence[LessonEvent], supersedes: Sequence[Lesson]) -> dict[str, Any]:
    """Return one lesson as it is answered."""
    return {
        **LessonShown(lesson).data,
        "life": LessonStep(life, many=True).data,
        "supersedes": [one.key for one in supersedes],
    }


def answer_shown(answer: LessonAnswer) -> Any:
    """Return one answer."""
    return AnswerShown(answer).data


def offered_shown(rows: Sequence[OfferedLesson]) -> Any:
    """Return the lessons of a revision."""
    return OfferedShown(rows, many=True).data
