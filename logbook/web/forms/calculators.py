"""Forms of the calculators. They check shape only; the core says what a text means."""

from __future__ import annotations

import re
from typing import Any

from django import forms

from logbook.bench.choices import Rule
from logbook.core.preferred import SERIES_NAMES
from logbook.core.quantities import KINDS

LONGEST_LIST = 1_000
_BETWEEN = re.compile(r"[\n\r;]+")
_SPACES = re.compile(r"\s+(?=[-+.0-9])")


class ReadingsField(forms.CharField):
    """Several readings, one a line, or apart by semicolons, or by spaces before a number."""

    widget = forms.Textarea

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=40_000, **kwargs)
        self.widget.attrs.update({"rows": 4, "spellcheck": "false"})

    def to_python(self, value: Any) -> list[str]:  # type: ignore[override]
        text = super().to_python(value) or ""
        lines = (line for part in _BETWEEN.split(text) for line in _SPACES.split(part))
        readings = [line.strip() for line in lines if line.strip()]
        if len(readings) > LONGEST_LIST:
            message = f"{len(readings)} readings are too many. Allowed: up to {LONGEST_LIST}."
            raise forms.ValidationError(message)
        return readings

    def run_validators(self, value: Any) -> None:
        """Check the length of the text as typed; a list has no length in characters."""
        super().run_validators("\n".join(value))


def short_text(label: str, example: str, *, required: bool = False, help_text: str = "") -> forms.CharField:
    """Return a one-line field that shows an example of what it takes."""
    attrs = {"placeholder": example, "autocomplete": "off", "spellcheck": "false"}
    return forms.CharField(
        label=label,
        max_length=100,
        required=required,
        help_text=help_text,
        widget=forms.TextInput(attrs=attrs),
    )


class VerdictForm(forms.Form):
    """A value, its limits and its uncertainty."""

    limits = short_text("Limits", "3.3 V ± 2 %", required=True, help_text="also ≥ 90 dB, 0 errors, yes")
    value = short_text(
        "Value", "3.317 V", required=True, help_text="without a unit it is in that of the limits"
    )
    expanded_uncertainty = short_text(
        "Expanded uncertainty U", "4 mV", help_text="left empty, simple acceptance is used and said"
    )
    coverage_factor = short_text("Coverage factor k", "2", help_text="2 when left empty")
    degrees_of_freedom = forms.FloatField(
        label="Degrees of freedom",
        required=False,
        min_value=0.1,
        help_text="for a Student distribution; left empty it is normal",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "placeholder": "4"}),
    )
    rule = forms.ChoiceField(
        label="Decision rule", choices=Rule.choices, initial=Rule.GUARDED, required=False
    )

    def clean_rule(self) -> str:
        """Return guarded acceptance where a link leaves the rule out."""
        return self.cleaned_data["rule"] or Rule.GUARDED


class UncertaintyForm(forms.Form):
    """A reading, what the instrument's maker states, and repeats."""

    reading = short_text("Reading", "3.298 V", required=True)
    percent_of_reading = short_text("% of reading", "0.05")
    percent_of_range = short_text("% of range", "0.005", help_text="needs the range")
    range_value = short_text("Range", "10 V", help_text="full scale, in the unit of the reading")
    counts = short_text("Counts", "3", help_text="of the last digit; needs the resolution")
    resolution = short_text("Resolution", "1 mV", help_text="one step of the display")
    repeats = ReadingsField(
        label="Repeated readings",
        required=False,
        help_text="two or more, one a line; their mean takes the place of the reading",
    )


class QuantityForm(forms.Form):
    """A quantity or a part's marking as typed."""

    text = short_text(
        "Quantity or marking", "4k7J", required=True, help_text="also 12.288 MHz, -98 dBV, 100n"
    )
    kind = forms.ChoiceField(
        label="Kind",
        required=False,
        choices=[("", "the text carries its unit"), *((kind, kind) for kind in KINDS)],
        help_text="needed for a marking without a unit, such as 4k7 or 100n",
    )


class PreferredValueForm(forms.Form):
    """A wanted value and a series of preferred values."""

    value = short_text("Wanted value", "4k83", required=True)
    series = forms.ChoiceField(
        label="Series", choices=[(name, name) for name in SERIES_NAMES], initial="E96", required=False
    )
    kind = forms.ChoiceField(
        label="Kind",
        choices=[("resistance", "resistance"), ("capacitance", "capacitance"), ("inductance", "inductance")],
        initial="resistance",
        required=False,
    )

    def clean_series(self) -> str:
        """Return E96 where a link leaves the series out."""
        return self.cleaned_data["series"] or "E96"

    def clean_kind(self) -> str:
        """Return resistance where a link leaves the kind out."""
        return self.cleaned_data["kind"] or "resistance"


class SampleForm(forms.Form):
    """Readings of one quantity, one a board."""

    values = ReadingsField(label="Readings", required=True, help_text="one a board, one a line")
    limits = short_text("Limits", "3.234..3.366 V", help_text="for Cpk and for the chance of the next board")
    content = short_text("Content", "0.95", help_text="share of boards inside the tolerance interval")
    confidence = short_text("Confidence", "0.95")

    def clean_content(self) -> str:
        """Return the usual 0.95 where it is left out."""
        return self.cleaned_data["content"] or "0.95"

    def clean_confidence(self) -> str:
        """Return the usual 0.95 where it is left out."""
        return self.cleaned_data["confidence"] or "0.95"


class AttributeForm(forms.Form):
    """Failures in a number of trials."""

    failures = short_text("Failures", "0", required=True)
    trials = short_text("Trials", "1e9", required=True, help_text="bits, boots, boards, tries")
    confidence = short_text("Confidence", "0.95")
    sides = forms.ChoiceField(
        label="Bounds",
        choices=[("two", "lower and upper"), ("upper", "upper only")],
        initial="two",
        required=False,
    )

    def clean_confidence(self) -> str:
        """Return the usual 0.95 where it is left out."""
        return self.cleaned_data["confidence"] or "0.95"

    def clean_sides(self) -> str:
        """Return both bounds where a link leaves them out."""
        return self.cleaned_data["sides"] or "two"
