"""Forms of order records."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django import forms
from django.forms.boundfield import BoundField

from logbook.core.readiness import QUESTIONS
from logbook.evidence.models import Evidence
from logbook.planning.choices import OrderDecision, QuestionAnswer
from logbook.planning.commands import Answered
from logbook.planning.queries.orders import orderable_files
from logbook.projects.models import Project
from logbook.web.forms.fields import DayField


@dataclass(frozen=True)
class AskedQuestion:
    """One question with its two fields."""

    text: str
    answer: BoundField
    remark: BoundField


class ReadinessForm(forms.Form):
    """The day readiness is asked for."""

    as_of = DayField(label="As it stood on")


class PlacingForm(forms.Form):
    """The day an order was placed."""

    ordered_on = DayField(label="Ordered on", required=True)


class OrderForm(forms.Form):
    """A decision to order or not, with an answer to each question."""

    decision = forms.ChoiceField(label="Decision", choices=OrderDecision.choices, widget=forms.RadioSelect)
    conditions = forms.CharField(
        label="Conditions",
        max_length=2_000,
        required=False,
        help_text="What has to be done before the files go out. Needed by go with conditions.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    name = forms.CharField(label="Name", max_length=120, help_text="Who decides.")
    decided_on = DayField(label="Decided on", required=True)
    ordered_on = DayField(label="Ordered on", help_text="Leave empty until the files are sent.")
    file_set = forms.ModelMultipleChoiceField(
        label="Files of the set",
        queryset=Evidence.objects.none(),
        required=False,
        help_text="Documents and Gerber files kept here; the hash of the set follows from theirs.",
    )
    files_sha256 = forms.CharField(
        label="or SHA-256 of a file set kept elsewhere",
        max_length=64,
        required=False,
        help_text="64 digits, as sha256sum prints them for the archive that is sent.",
    )
    note = forms.CharField(
        label="Note", max_length=2_000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    although_missing = forms.BooleanField(label="Order although this is missing", required=False)

    def __init__(self, *args: object, project: Project, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field = self.fields["file_set"]
        assert isinstance(field, forms.ModelMultipleChoiceField)  # noqa: S101 - tells the type checker
        field.queryset = orderable_files(project)
        for question in QUESTIONS:
            self.fields[f"answer-{question.key}"] = forms.ChoiceField(
                label=f"Answer: {question.text}",
                choices=QuestionAnswer.choices,
                initial=QuestionAnswer.OPEN.value,
                required=False,
            )
            self.fields[f"remark-{question.key}"] = forms.CharField(
                label=f"Remark: {question.text}", max_length=500, required=False
            )

    def plain_fields(self) -> list[BoundField]:
        """Return the fields that are no answers; what is asked once more only once it has to be."""
        again = self.has_error("although_missing") or bool(self["although_missing"].data)
        return [self[name] for name in self.base_fields if again or name != "although_missing"]

    def questions(self) -> Iterator[AskedQuestion]:
        """Yield the questions in their order."""
        for question in QUESTIONS:
            yield AskedQuestion(question.text, self[f"answer-{question.key}"], self[f"remark-{question.key}"])

    def answers(self) -> dict[str, Answered]:
        """Return what was answered, by question."""
        given = self.cleaned_data
        return {
            one.key: Answered(
                given[f"answer-{one.key}"] or QuestionAnswer.OPEN.value, given[f"remark-{one.key}"]
            )
            for one in QUESTIONS
        }
