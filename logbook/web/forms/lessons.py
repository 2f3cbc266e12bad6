"""Forms of lessons: what one says, its state, the answer of a revision, and the filters."""

from __future__ import annotations

from typing import Any

from django import forms

from logbook.accounts.models import User
from logbook.lessons.choices import AnswerWord, Discipline, Firmness, LessonState, Moment
from logbook.lessons.models import Lesson
from logbook.lessons.queries import UNANSWERED
from logbook.lessons.queries.lists import STANDS, projects_edited_by, subsystems_edited_by, successors_offered
from logbook.projects.choices import ChangeKind, SubsystemKind
from logbook.projects.models import Project, Revision, Subsystem
from logbook.projects.queries import subsystems_of
from logbook.web.forms.fields import DayField, TagsField

ANY = [("", "any")]
CHECK = "check_"


def _lines(label: str, length: int, help_text: str = "", rows: int = 3) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=length,
        required=False,
        help_text=help_text,
        widget=forms.Textarea(attrs={"rows": rows}),
    )


class ToldForm(forms.Form):
    """What is told of a lesson; it may be mended at any time."""

    what_happened = _lines("What happened", 20_000, "Markdown.")
    why = _lines("Why", 20_000, "The cause, and where the rule stops to hold. Markdown.")
    how_to_check = _lines("How to check that it was heeded", 2_000, "An inspection or a reading.", rows=2)
    cost = forms.CharField(
        label="What it cost", max_length=300, required=False, help_text="Hours, boards, weeks."
    )
    learned_on = DayField(label="Learned on", required=True)
    finding = forms.CharField(
        label="Finding it comes from", max_length=30, required=False, help_text="Its key on the home project."
    )
    is_shared = forms.BooleanField(
        label="Share it with the site",
        required=False,
        help_text="Everyone who signs in here may read it, with the name of its project and the key of its "
        "finding. This cannot be taken back. Unticked, only members of its project read it.",
    )


class QuestionForm(ToldForm):
    """A proposed lesson: what it asks, and of whom, may still change."""

    rule = forms.CharField(
        label="The rule, in one line", max_length=200, help_text="What to do, such as: print pin 1 at J7."
    )
    firmness = forms.ChoiceField(
        label="How firm",
        choices=Firmness.choices,
        initial=Firmness.SHOULD,
        help_text="No revision is ready to order with a must unanswered.",
    )
    discipline = forms.ChoiceField(label="Discipline", choices=Discipline.choices)
    moment = forms.ChoiceField(label="When to ask it", choices=Moment.choices)
    characteristics = TagsField(
        label="Asked of projects with",
        required=False,
        help_text="Characteristics, such as battery external-dram. One that fits is enough.",
    )
    subsystem_kinds = forms.MultipleChoiceField(
        label="Asked of subsystems of kind",
        choices=SubsystemKind.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    always = forms.BooleanField(label="Ask it of every project", required=False)
    field_order = (
        "project", "key", "rule", "firmness", "discipline", "moment", "characteristics", "subsystem_kinds",
        "always", "what_happened", "why", "how_to_check",
    )  # fmt: skip


class LessonForm(QuestionForm):
    """A new lesson, with the check it may carry."""

    project = forms.ModelChoiceField(
        label="Home project", queryset=Project.objects.none(), to_field_name="slug", empty_label=None
    )
    key = forms.CharField(
        label="Key",
        max_length=30,
        required=False,
        help_text="Left empty: the code of the project and the next number, such as SLK-L5.",
    )
    state = forms.ChoiceField(
        label="It is",
        choices=[(one.value, one.value) for one in (LessonState.ACCEPTED, LessonState.PROPOSED)],
        help_text="An accepted lesson is owed an answer, and what it asks never changes again.",
    )
    replaces = forms.CharField(
        label="Supersedes", max_length=30, required=False, help_text="The key of the lesson it replaces."
    )
    check_template = forms.CharField(
        label="Check it carries: template", max_length=20, required=False, help_text="Its key, such as R04 …"
    )
    check_name = forms.CharField(
        label="… or a check of its own", max_length=160, required=False, help_text="Such as 3V3 ripple."
    )
    check_limits = forms.CharField(
        label="Limits of that check", max_length=120, required=False, help_text="Such as ≤ 30 mVpp, or yes."
    )
    check_minutes = forms.IntegerField(
        label="Minutes it takes", min_value=0, max_value=10_000, required=False
    )

    def __init__(self, *args: Any, person: User, **options: Any) -> None:
        super().__init__(*args, **options)
        project: Any = self.fields["project"]
        project.queryset = projects_edited_by(person)

    def check_given(self) -> dict[str, Any]:
        """Return what was said of the check; empty where none is carried."""
        said = {name: self.cleaned_data[name] for name in self.fields if name.startswith(CHECK)}
        found = {name.removeprefix(CHECK): value for name, value in said.items() if value not in {"", None}}
        return found if set(found) - {"minutes"} else {}


class LessonMoveForm(forms.Form):
    """The next state of a lesson."""

    to = forms.ChoiceField(label="It is now", widget=forms.RadioSelect)
    note = forms.CharField(
        label="Why", max_length=2_000, required=False, help_text="Needed where it is withdrawn."
    )
    superseded_by = forms.ModelChoiceField(
        label="Superseded by", queryset=Lesson.objects.none(), to_field_name="key", required=False
    )

    def __init__(self, *args: Any, lesson: Lesson, allowed: Any, person: User, **options: Any) -> None:
        super().__init__(*args, **options)
        to: Any = self.fields["to"]
        to.choices = [(str(state), str(state)) for state in allowed]
        other: Any = self.fields["superseded_by"]
        other.queryset = successors_offered(lesson, person)
        other.label_from_instance = _ruled


def _ruled(lesson: Lesson) -> str:
    return f"{lesson.key} · {lesson.rule}"


class TargetForm(forms.Form):
    """Where the check of a lesson becomes a target."""

    subsystem = forms.ModelChoiceField(label="Subsystem", queryset=Subsystem.objects.none())
    key = forms.CharField(
        label="Key", max_length=30, required=False, help_text="Left empty: subsystem and lesson."
    )
    limits = forms.CharField(
        label="Limits", max_length=120, required=False, help_text="Left empty: those of the check."
    )
    nominal = forms.CharField(label="Nominal", max_length=60, required=False)

    def __init__(self, *args: Any, person: User, **options: Any) -> None:
        super().__init__(*args, **options)
        subsystem: Any = self.fields["subsystem"]
        subsystem.queryset = subsystems_edited_by(person)
        subsystem.label_from_instance = _placed


def _placed(subsystem: Subsystem) -> str:
    return f"{subsystem.project.name} · {subsystem} {subsystem.name}"


class AnswerForm(forms.Form):
    """What a revision answers to a lesson. One line, so that Enter sends it."""

    answer = forms.ChoiceField(label="Answer", choices=AnswerWord.choices, widget=forms.RadioSelect)
    text = forms.CharField(
        label="How, why, or what is to be done",
        max_length=2_000,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    key = forms.CharField(label="Key of the change", max_length=30, required=False)
    kind = forms.ChoiceField(label="Kind of change", choices=ChangeKind.choices, required=False)
    subsystems = forms.ModelMultipleChoiceField(
        label="Subsystems it touches",
        queryset=Subsystem.objects.none(),
        to_field_name="key",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, revision: Revision, **options: Any) -> None:
        super().__init__(*args, **options)
        subsystems: Any = self.fields["subsystems"]
        subsystems.queryset = subsystems_of(revision.project)


class LessonFilter(forms.Form):
    """Narrows the list of lessons."""

    text = forms.CharField(label="Words", required=False)
    project = forms.CharField(label="Project", required=False, help_text="Its short name.")
    discipline = forms.ChoiceField(required=False, choices=[*ANY, *Discipline.choices])
    moment = forms.ChoiceField(required=False, choices=[*ANY, *Moment.choices])
    firmness = forms.ChoiceField(required=False, choices=[*ANY, *Firmness.choices])
    state = forms.ChoiceField(required=False, choices=[*ANY, (STANDS, STANDS), *LessonState.choices])


class ReviewFilter(forms.Form):
    """Narrows what a revision is asked."""

    moment = forms.ChoiceField(required=False, choices=[*ANY, *Moment.choices])
    discipline = forms.ChoiceField(required=False, choices=[*ANY, *Discipline.choices])
    firmness = forms.ChoiceField(required=False, choices=[*ANY, *Firmness.choices])
    answer = forms.ChoiceField(required=False, choices=[*ANY, (UNANSWERED, UNANSWERED), *AnswerWord.choices])
