"""Forms of the changes of a revision and of evidence carried over by hand."""

from __future__ import annotations

from django import forms

from logbook.bench.models import Target
from logbook.bench.queries.lists import targets_of
from logbook.boards.choices import ReworkIntent
from logbook.boards.models import Rework
from logbook.boards.queries import reworks_of_project
from logbook.projects.choices import CauseKind, ChangeKind, ChangeState
from logbook.projects.models import Project, Subsystem
from logbook.projects.queries import subsystems_of
from logbook.web.forms.design import KEY_HELP


class ChangeForm(forms.Form):
    """What a revision does differently; key, subsystems and reworks only while it is new."""

    key = forms.CharField(label="Key", max_length=30, help_text=KEY_HELP)
    kind = forms.ChoiceField(label="Kind", choices=ChangeKind.choices)
    what = forms.CharField(
        label="What changed",
        max_length=2_000,
        help_text="So that a stranger finds it on the drawing.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    why = forms.CharField(
        label="Why", max_length=2_000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    subsystems = forms.ModelMultipleChoiceField(
        label="Subsystems it touches",
        queryset=Subsystem.objects.none(),
        to_field_name="key",
        required=False,
        help_text="Older evidence of these, and within two steps of them, becomes stale. None: it touches "
        "nothing, which is worth recording too.",
        widget=forms.CheckboxSelectMultiple,
    )
    folds_in = forms.ModelMultipleChoiceField(
        label="Reworks it makes part of the drawing",
        queryset=Rework.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    designators = forms.CharField(label="Designators", max_length=500, required=False, help_text="R1, R5-R8")
    cause_kind = forms.ChoiceField(label="Caused by", choices=CauseKind.choices, initial=CauseKind.NONE)
    cause = forms.CharField(label="Which one", max_length=200, required=False, help_text="Such as F-01.")
    state = forms.ChoiceField(label="How far it is", choices=ChangeState.choices)

    def __init__(self, *args: object, project: Project, is_new: bool, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        if not is_new:
            for name in ("key", "subsystems", "folds_in"):
                del self.fields[name]
            return
        _offer(self, "subsystems", subsystems_of(project), _named)
        reworks = reworks_of_project(project).exclude(intent=ReworkIntent.TO_DRAWING).order_by("id")
        _offer(self, "folds_in", reworks, _done)


class WithdrawalForm(forms.Form):
    """Why something is withdrawn."""

    because = forms.CharField(label="Why", max_length=500, widget=forms.Textarea(attrs={"rows": 2}))


class CarryOverForm(forms.Form):
    """Evidence of an ancestor that somebody vouches for."""

    target = forms.ModelChoiceField(
        label="Target", queryset=Target.objects.none(), to_field_name="key", empty_label=None
    )
    argument = forms.CharField(
        label="Why it holds",
        max_length=2_000,
        help_text="Circuit, parts, placement, copper, supply, firmware path, limits and surroundings are as "
        "they were: say how you know.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: object, project: Project, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        _offer(self, "target", targets_of(project), _asked)


def _offer(form: forms.Form, name: str, rows: object, label: object) -> None:
    field = form.fields[name]
    assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - tells the type checker
    field.queryset = rows  # type: ignore[assignment]
    field.label_from_instance = label  # type: ignore[assignment]


def _named(subsystem: Subsystem) -> str:
    return f"{subsystem} · {subsystem.name}"


def _done(rework: Rework) -> str:
    return f"{rework} of {rework.board} · {rework.what}"


def _asked(target: Target) -> str:
    return f"{target.key} · {target.name}"
