"""Forms of findings: what one says, its next step, and the filter of the list."""

from __future__ import annotations

from typing import Any

from django import forms

from logbook.bench.choices import Harm, Severity
from logbook.bench.models import Measurement, Target
from logbook.boards.models import Board
from logbook.boards.queries import boards_of
from logbook.core.risk.findings import FindingState
from logbook.evidence.models import Evidence
from logbook.findings.choices import STATES, CauseFamily, Side
from logbook.findings.models import Finding
from logbook.findings.queries import OPEN, moves_from, others_of, readings_that_may_prove
from logbook.projects.models import Project, Revision, Subsystem
from logbook.projects.queries import revisions_of, subsystems_of
from logbook.web.forms.design import KEY_HELP
from logbook.web.forms.fields import MomentField
from logbook.web.values import shown_value

LISTS = ("targets", "revisions", "boards")


def _several(label: str, field: str, **options: Any) -> forms.ModelMultipleChoiceField[Any]:
    return forms.ModelMultipleChoiceField(
        label=label, queryset=Target.objects.none(), to_field_name=field, required=False, **options
    )


class FindingForm(forms.Form):
    """What a finding says; its key and where it was found only while it is new."""

    key = forms.CharField(label="Key", max_length=30, help_text=KEY_HELP)
    title = forms.CharField(
        label="What is wrong, in a line",
        max_length=200,
        help_text="With the value against its limit: +3V3_D reads 3.181 V, limit 3.234 V.",
    )
    found_on = forms.ModelChoiceField(
        label="Found on board", queryset=Board.objects.none(), to_field_name="serial", required=False
    )
    found_at = MomentField(label="Found at", help_text="Left empty: now.")
    subsystem = forms.ModelChoiceField(
        label="Subsystem", queryset=Subsystem.objects.none(), to_field_name="key", empty_label=None
    )
    severity = forms.ChoiceField(label="Severity for the function", choices=Severity.choices, initial="S3")
    harm = forms.ChoiceField(
        label="Harm to people",
        required=False,
        choices=[("", "none"), *Harm.choices],
        help_text="A scale of its own, in the words of MIL-STD-882E; never averaged with the severity.",
    )
    cause_family = forms.ChoiceField(
        label="Cause", required=False, choices=[("", "not known yet"), *CauseFamily.choices]
    )
    what = forms.CharField(
        label="What was seen, and why it matters",
        max_length=20_000,
        required=False,
        help_text="Markdown.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    trigger = forms.CharField(
        label="When it happens", max_length=2_000, required=False, help_text="Such as USB alone, no supply."
    )
    workaround = forms.CharField(
        label="How to live with it",
        max_length=2_000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    place = forms.CharField(label="Where on the board", max_length=200, required=False)
    side = forms.ChoiceField(label="Side", required=False, choices=[("", "not said"), *Side.choices])
    targets = _several(
        "Targets it breaks", "key", help_text="A passing reading of one of them will prove the fix."
    )
    revisions = _several("Revisions it concerns", "label", widget=forms.CheckboxSelectMultiple)
    boards = _several("Boards it concerns", "serial", widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: object, project: Project, is_new: bool, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        self._choose("found_on", boards_of(project))
        self._choose("subsystem", subsystems_of(project))
        self._choose("targets", Target.objects.filter(project=project).order_by("position", "key"))
        self._choose("revisions", revisions_of(project))
        self._choose("boards", boards_of(project))
        self.fields["targets"].widget.attrs["size"] = 6
        if not is_new:
            for name in ("key", "found_on", "found_at"):
                del self.fields[name]
        else:
            help_text = "Left empty: the board it was found on and its revision."
            self.fields["revisions"].help_text = self.fields["boards"].help_text = help_text

    def _choose(self, name: str, rows: Any) -> None:
        field: Any = self.fields[name]
        field.queryset = rows
        field.label_from_instance = _named


def _named(row: Board | Revision | Subsystem | Target) -> str:
    name = getattr(row, "name", "")
    return f"{row} · {name}" if name else str(row)


class StepForm(forms.Form):
    """The next step of a finding: only what the table of moves allows from where it stands."""

    to = forms.ChoiceField(label="It is now", widget=forms.RadioSelect)
    note = forms.CharField(
        label="Why, or how",
        max_length=2_000,
        required=False,
        help_text="Needed for a decision, for closing it and for a step back.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    at = MomentField(label="Since", help_text="Left empty: now.")
    measurement = forms.ModelChoiceField(
        label="The reading that proves it",
        queryset=Measurement.objects.none(),
        required=False,
        help_text="Passing readings of its targets since it was found.",
    )
    duplicate_of = forms.ModelChoiceField(
        label="It repeats", queryset=Finding.objects.none(), to_field_name="key", required=False
    )

    def __init__(self, *args: object, finding: Any, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        allowed = moves_from(finding.state)
        to: Any = self.fields["to"]
        to.choices = [(str(state), str(state)) for state in allowed]
        if FindingState.PROVEN in allowed:
            reading: Any = self.fields["measurement"]
            reading.queryset = readings_that_may_prove(finding)
            reading.label_from_instance = _reading
        else:
            del self.fields["measurement"]
        if FindingState.DUPLICATE in allowed:
            other: Any = self.fields["duplicate_of"]
            other.queryset = others_of(finding)
            other.label_from_instance = _finding
        else:
            del self.fields["duplicate_of"]


def _reading(row: Measurement) -> str:
    target = row.target.key if row.target else ""
    return f"{target} on {row.board.serial}: {shown_value(row)}, {row.verdict}, {row.taken_at:%Y-%m-%d}"


def _finding(row: Finding) -> str:
    return f"{row.key} · {row.title}"


class EvidenceChoiceForm(forms.Form):
    """A file of the project that shows the finding."""

    evidence = forms.ModelChoiceField(label="A file kept already", queryset=Evidence.objects.none())

    def __init__(self, *args: object, project: Project, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field: Any = self.fields["evidence"]
        field.queryset = Evidence.objects.filter(project=project).order_by("-id")


class FindingChoiceForm(forms.Form):
    """A finding of the project because of which something was done."""

    finding = forms.ModelChoiceField(label="Finding", queryset=Finding.objects.none(), to_field_name="key")

    def __init__(self, *args: object, project: Project, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field: Any = self.fields["finding"]
        field.queryset = Finding.objects.filter(project=project).order_by("key")
        field.label_from_instance = _titled


def _titled(finding: Finding) -> str:
    return f"{finding.key} · {finding.title}"


class FindingFilter(forms.Form):
    """Narrows the list of findings."""

    text = forms.CharField(label="Words", required=False)
    state = forms.ChoiceField(label="State", required=False, choices=[("", "any"), (OPEN, "open"), *STATES])
    subsystem = forms.CharField(label="Subsystem", required=False)
    severity = forms.ChoiceField(
        label="Severity", required=False, choices=[("", "any"), *((one, one) for one in Severity.values)]
    )
    board = forms.CharField(label="Board", required=False)
    revision = forms.CharField(label="Revision", required=False)
