"""Forms of tolerance stack-ups, dividers, ready-made and saved calculations."""

from __future__ import annotations

from typing import Any

from django import forms

from logbook.bench.models import Target
from logbook.calculations.choices import Method
from logbook.core.preferred import SERIES_NAMES
from logbook.core.tolerance import FEWEST_SAMPLES, MOST_SAMPLES
from logbook.core.trade import ReadyMade
from logbook.projects.models import Project
from logbook.web.forms.calculators import short_text

PLAIN = {"autocomplete": "off", "spellcheck": "false"}
SERIES = [(name, name) for name in SERIES_NAMES]


class StackForm(forms.Form):
    """A formula over parts with tolerances."""

    formula = forms.CharField(
        max_length=500,
        help_text="+ - * / **, brackets, pi, sqrt, exp, ln, log10, abs, min, max, sin, cos, tan, atan, par.",
        widget=forms.TextInput(attrs={**PLAIN, "placeholder": "vref*(1 + rtop/rbot)"}),
    )
    parts = forms.CharField(
        max_length=10_000,
        help_text="One a line: rtop = 45.3 kΩ 1 %. Also +2 % / -1.5 %, 10 mV, 0.788 V to 0.812 V, 4k7J; "
        "then, apart by commas, 100 ppm/K, -40 to 85 °C, reference 25 °C.",
        widget=forms.Textarea(
            attrs={**PLAIN, "rows": 6, "placeholder": "vref = 0.6 V 1 %\nrtop = 45.3 kΩ 1 %"}
        ),
    )
    unit = forms.CharField(
        max_length=20,
        required=False,
        label="Unit of the result",
        help_text="The formula is taken in base units: V, A, Ω, F, s.",
        widget=forms.TextInput(attrs={**PLAIN, "placeholder": "V"}),
    )
    samples = forms.IntegerField(
        min_value=FEWEST_SAMPLES,
        max_value=MOST_SAMPLES,
        required=False,
        help_text="Of the simulation; 200 000 when left out.",
    )
    seed = forms.IntegerField(
        min_value=0,
        max_value=2**31 - 1,
        required=False,
        help_text="The same seed gives the same numbers; 1 when left out.",
    )

    def clean_samples(self) -> int:
        """Return the usual number where none was given."""
        return self.cleaned_data["samples"] or 200_000

    def clean_seed(self) -> int:
        """Return the usual seed where none was given."""
        given = self.cleaned_data["seed"]
        return 1 if given is None else given


class StackCalculatorForm(StackForm):
    """The calculator: a stack-up, and limits to hold it against."""

    limits = short_text("Limits to keep", "3.3 V ± 5 %", help_text="The bands are held against them.")


class CalculationForm(StackForm):
    """A calculation kept on a project."""

    key = forms.CharField(max_length=30, help_text="Short: VDIV-1.", widget=forms.TextInput(attrs=PLAIN))
    name = forms.CharField(max_length=160, help_text="Such as divider of +3V3_D, as fitted.")
    source = forms.CharField(
        label="Source of the formula",
        max_length=300,
        required=False,
        help_text="Data sheet and page, or law.",
    )
    note = forms.CharField(
        max_length=20_000, required=False, widget=forms.Textarea(attrs={"rows": 3}), help_text="Markdown."
    )
    field_order = ("key", "name", "formula", "parts", "unit", "samples", "seed", "source", "note")

    def __init__(self, *args: Any, is_new: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        if not is_new:
            del self.fields["key"]


class DividerForm(forms.Form):
    """A divider to be made of preferred values."""

    v_out = short_text("Output", "3.3", required=True, help_text="V; or a ratio such as 4, with 1 at the tap")
    v_ref = short_text("Voltage at the tap", "0.6", required=True, help_text="the reference, V")
    series_top = forms.ChoiceField(label="Series of the upper resistor", choices=SERIES, initial="E96")
    series_bottom = forms.ChoiceField(
        label="Series of the lower resistor", choices=[("", "the same"), *SERIES], required=False
    )
    total_low = short_text("Both together, at least", "1k", help_text="Ω; 1 kΩ when left out")
    total_high = short_text("Both together, at most", "1M", help_text="Ω; 1 MΩ when left out")
    tolerance = short_text("Tolerance of both", "1", help_text="%; the usual one of the series when left out")


class ReadyMadeForm(forms.Form):
    """One field for each part of a ready-made calculation."""

    def __init__(self, *args: Any, calculation: ReadyMade, **options: Any) -> None:
        super().__init__(*args, **options)
        for part in calculation.parts:
            usual = f"{part.example} {part.tolerance}".rstrip()
            field = short_text(f"{part.meaning} ({part.name})", usual, required=True)
            field.initial = usual
            self.fields[part.name] = field


class AsLimitsForm(forms.Form):
    """Which band becomes the limits of which target."""

    target = forms.ModelChoiceField(
        Target.objects.none(), to_field_name="key", required=False, empty_label="a new target"
    )
    band = forms.ChoiceField(choices=Method.choices, initial=Method.EXTREME)

    def __init__(self, *args: Any, project: Project, linear_problem: str = "", **options: Any) -> None:
        super().__init__(*args, **options)
        if linear_problem:
            method = Method.ROOT_SUM_SQUARE
            choices = [one for one in Method.choices if one[0] != method]
            self.fields["band"].choices = choices  # type: ignore[attr-defined]
            self.fields["band"].help_text = f"{method.label} is not offered: {linear_problem}"
        targets = Target.objects.filter(project=project).order_by("position", "key")
        self.fields["target"].queryset = targets  # type: ignore[attr-defined]
        self.fields["target"].label_from_instance = lambda one: f"{one.key} {one.name}"  # type: ignore[attr-defined]
