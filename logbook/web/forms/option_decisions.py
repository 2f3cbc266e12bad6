"""Forms of what became of an option: decided, left open, or ordered."""

from __future__ import annotations

from typing import Any

from django import forms

from logbook.projects.choices import DecisionWord
from logbook.projects.models import Option, Project, Revision
from logbook.projects.queries import revisions_of
from logbook.web.forms.design import NOT_FITTED, chosen

DECIDED_HELP = "The drawing itself is changed on the page of the option."


def positions_of(option: Option) -> list[tuple[str, str]]:
    """Return the positions an option can be in, for a list of choices."""
    names = [(chosen(one.name), f"at {one.name}", one.meaning) for one in option.positions.all()]
    rows = [(value, f"{label}: {meaning}" if meaning else label) for value, label, meaning in names]
    return [*rows, (NOT_FITTED, "not fitted")]


class OfRevisionForm(forms.Form):
    """Names a revision of the project, the newest first."""

    revision = forms.ModelChoiceField(
        label="On revision", queryset=Revision.objects.none(), to_field_name="label", empty_label=None
    )

    def __init__(self, *args: object, option: Option, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field: Any = self.fields["revision"]
        field.queryset = revisions_of(option.project).reverse()


class OptionDecisionForm(OfRevisionForm):
    """An option is decided for a revision, or left open on purpose."""

    decision = forms.ChoiceField(label="Decision", widget=forms.RadioSelect, help_text=DECIDED_HELP)
    until = forms.ModelChoiceField(
        label="Left open until revision",
        queryset=Revision.objects.none(),
        to_field_name="label",
        required=False,
        empty_label="nobody knows yet",
    )
    because = forms.CharField(
        label="Why",
        max_length=2_000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: object, option: Option, **options: object) -> None:
        super().__init__(*args, option=option, **options)
        decision: Any = self.fields["decision"]
        decision.choices = [(DecisionWord.LEFT_OPEN, "left open: to decide later"), *positions_of(option)]
        until: Any = self.fields["until"]
        until.queryset = revisions_of(option.project).reverse()


class OrderedPositionForm(OfRevisionForm):
    """The position a revision was ordered with."""

    position = forms.ChoiceField(label="Ordered", widget=forms.RadioSelect)
    note = forms.CharField(
        label="Note",
        max_length=300,
        required=False,
        help_text="Such as the order, and the note to the assembler.",
    )

    def __init__(self, *args: object, option: Option, **options: object) -> None:
        super().__init__(*args, option=option, **options)
        position: Any = self.fields["position"]
        position.choices = positions_of(option)


class OptionFilter(forms.Form):
    """Chooses the revision and narrows its options."""

    revision = forms.ChoiceField(label="Revision", required=False)
    only = forms.ChoiceField(
        label="Which",
        required=False,
        choices=[("", "all"), ("differing", "that differ somewhere"), ("open", "left open")],
    )

    def __init__(self, *args: object, project: Project, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field: Any = self.fields["revision"]
        labels = [revision.label for revision in revisions_of(project).reverse()]
        field.choices = [("", "newest with a board"), *((label, label) for label in labels)]
