"""Forms of targets: how one is planned, and what it asks."""

from __future__ import annotations

from typing import Any

from django import forms

from logbook.bench.choices import Basis, Harm, Rule, Severity, TargetKind
from logbook.bench.commands.targets import Asked, unit_asked
from logbook.bench.models import Target, TargetIssue
from logbook.calculations.choices import Method
from logbook.calculations.models import Calculation
from logbook.projects.models import Option, Project, Revision, Subsystem
from logbook.web.cautions import CAUTIONS
from logbook.web.forms.fields import TagsField

PLANNED = (
    "name",
    "subsystem",
    "severity",
    "harm",
    "minutes",
    "waiting_minutes",
    "probe_at",
    "probe_against",
    "stresses_board",
    "needs_power",
    "depends_on_firmware",
    "needs_option",
    "note",
)
LETTERS = [(key, f"{key}: {caution.title}") for key, caution in CAUTIONS.items()]


OFFERED = {"calculation": Calculation, "meant_for": Revision, "subsystem": Subsystem, "needs_option": Option}


class ProjectForm(forms.Form):
    """A form whose choices are those of one project."""

    def __init__(self, *args: Any, project: Project, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in OFFERED.keys() & self.fields.keys():
            rows = OFFERED[name].objects.filter(project=project)  # type: ignore[attr-defined]
            self.fields[name].queryset = rows  # type: ignore[attr-defined]


class AskedForm(ProjectForm):
    """What an issue of a target asks."""

    kind = forms.ChoiceField(choices=TargetKind.choices, initial=TargetKind.NUMBER, label="Result is a")
    limits = forms.CharField(
        max_length=120,
        required=False,
        help_text="3.3 V ± 5 %, 4.75 V to 5.25 V, <= 20 mV, >= 90 dB, 0 errors, 100 of 100, yes.",
    )
    unit = forms.CharField(max_length=20, required=False, help_text="Only where the limits do not carry it.")
    nominal = forms.CharField(
        max_length=60, required=False, help_text="Where one is known and the limits do not say it."
    )
    points = forms.CharField(
        required=False,
        max_length=2_000,
        help_text="Named places or conditions: CH1, CH2. Empty for one unnamed point.",
    )
    boards_needed = forms.IntegerField(label="On how many boards", min_value=1, max_value=1000, initial=1)
    conditions = forms.CharField(
        max_length=300, required=False, help_text="Load, mode, temperature, bandwidth."
    )
    method = forms.CharField(
        max_length=2_000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="How to do it.",
    )
    rule = forms.ChoiceField(
        choices=Rule.choices,
        initial=Rule.GUARDED,
        help_text="Guarded keeps the uncertainty away from the limits; without a stated uncertainty it falls "
        "back to simple and says so.",
    )
    basis = forms.ChoiceField(label="Limits come from", choices=Basis.choices, initial=Basis.JUDGEMENT)
    basis_note = forms.CharField(
        label="Which one", max_length=300, required=False, help_text="Clause, data sheet page or calculation."
    )
    calculation = forms.ModelChoiceField(
        Calculation.objects.none(),
        label="Limits from a calculation",
        required=False,
        empty_label="none",
        help_text="Leave limits, unit and nominal empty: its band becomes the limits.",
    )
    calculation_band = forms.ChoiceField(
        label="Which band", choices=[("", "none"), *Method.choices], required=False
    )
    meant_for = forms.ModelChoiceField(
        Revision.objects.none(),
        label="Meant for revision",
        required=False,
        empty_label="all revisions",
        help_text="And those that descend from it.",
    )

    def asked(self) -> Asked:
        """Return what is asked."""
        given = self.cleaned_data
        points = [name.strip() for name in given["points"].split(",") if name.strip()]
        return Asked(
            kind=given["kind"],
            limits=given["limits"],
            unit=given["unit"],
            nominal=given["nominal"],
            rule=given["rule"],
            points=points or ("",),
            boards_needed=given["boards_needed"],
            conditions=given["conditions"],
            method=given["method"],
            basis=given["basis"],
            basis_note=given["basis_note"],
            meant_for=given["meant_for"],
            calculation=given["calculation"],
            calculation_band=given["calculation_band"],
        )


class IssueForm(AskedForm):
    """A new issue of a target, with its reason."""

    reason = forms.CharField(
        max_length=300, label="Why is it issued anew", help_text="One sentence; it stays with the issue."
    )
    seen = forms.CharField(max_length=60, required=False, widget=forms.HiddenInput)
    field_order = ("reason",)


def asked_of(issue: TargetIssue) -> dict[str, Any]:
    """Return what an issue asks, as the form shows it."""
    return {
        "kind": issue.kind,
        "limits": issue.limits_text,
        "unit": unit_asked(issue),
        "nominal": issue.nominal,
        "points": ", ".join(point for point in issue.points if point),
        "boards_needed": issue.boards_needed,
        "conditions": issue.conditions,
        "method": issue.method,
        "rule": issue.rule,
        "basis": issue.basis,
        "basis_note": issue.basis_note,
        "meant_for": issue.meant_for_id,
        "calculation": issue.calculation_id,
        "calculation_band": issue.calculation_band,
    }


def asked_from(calculation: Calculation, band: str) -> dict[str, Any]:
    """Return what the form shows where a band is to become the limits."""
    empty = dict.fromkeys(("limits", "unit", "nominal", "basis_note"), "")
    return {
        **empty,
        "basis": Basis.DERIVED.value,
        "calculation": calculation.pk,
        "calculation_band": band,
        "reason": f"Limits from calculation {calculation.key}, version {calculation.version}.",
    }


class PlannedForm(ProjectForm):
    """How a target is planned; ``seen`` is the version it was read at."""

    seen = forms.CharField(max_length=60, required=False, widget=forms.HiddenInput)
    name = forms.CharField(max_length=160)
    subsystem = forms.ModelChoiceField(Subsystem.objects.none())
    severity = forms.ChoiceField(label="Severity if out", choices=Severity.choices, initial=Severity.S3)
    harm = forms.ChoiceField(
        label="Harm to people",
        choices=[("", "none"), *Harm.choices],
        required=False,
        help_text="Words of MIL-STD-882E; kept apart from the severity.",
    )
    minutes = forms.IntegerField(label="Minutes of hands-on work", min_value=0, max_value=100_000, initial=5)
    waiting_minutes = forms.IntegerField(
        label="Minutes of waiting", min_value=0, max_value=999_999, initial=0
    )
    prerequisites = TagsField(required=False, help_text="Keys of targets that must pass first: PIN-1 RLD-2.")
    probe_at = forms.CharField(max_length=200, required=False, help_text="Test point, pin, side: TP7.")
    probe_against = forms.CharField(max_length=200, required=False, help_text="Reference point: TP2.")
    needs_power = forms.BooleanField(label="The board is powered for it", required=False, initial=True)
    stresses_board = forms.BooleanField(
        label="It stresses the board",
        required=False,
        help_text="Reverse polarity, ESD, immersion.",
    )
    depends_on_firmware = forms.BooleanField(label="It depends on firmware", required=False)
    cautions = forms.MultipleChoiceField(
        choices=LETTERS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="They stand at the check on the bench page.",
    )
    needs_option = forms.ModelChoiceField(
        Option.objects.none(), label="Only where this option is fitted", required=False
    )
    note = forms.CharField(
        max_length=20_000, required=False, widget=forms.Textarea(attrs={"rows": 4}), help_text="Markdown."
    )

    def values(self) -> dict[str, Any]:
        """Return the planning fields, the subsystem among them."""
        letters = "".join(self.cleaned_data["cautions"])
        return {name: self.cleaned_data[name] for name in PLANNED} | {"cautions": letters}


def planned_of(target: Target) -> dict[str, Any]:
    """Return how a target is planned, as the form shows it."""
    values = {name: getattr(target, name) for name in PLANNED}
    needs = sorted(one.needs.key for one in target.prerequisites.all())
    return values | {"cautions": list(target.cautions), "prerequisites": " ".join(needs)}


class NewTargetForm(PlannedForm, AskedForm):
    """A new target: its key, what it asks and how it is planned."""

    seen = None  # type: ignore[assignment] # Django's way to leave out a field: nobody saw a new one
    key = forms.CharField(max_length=30, help_text="Short and lasting: RLD-2.")
    field_order = ("key", "name", "subsystem", *AskedForm.base_fields)
