"""Forms of instruments, their ranges and their calibrations."""

from __future__ import annotations

from django import forms

from logbook.bench.choices import CalibrationResult
from logbook.projects.models import KEY
from logbook.web.forms.fields import DayField

BLANK_ROWS = 3
CALIBRATION_STATES = ("in calibration", "due soon", "overdue", "not calibrated", "retired")


class InstrumentFilterForm(forms.Form):
    """Filters of the list of instruments."""

    calibration = forms.ChoiceField(
        required=False, choices=[("", "any"), *((state, state) for state in CALIBRATION_STATES)]
    )
    q = forms.CharField(required=False, max_length=60, label="Name, kind or serial number")


class InstrumentForm(forms.Form):
    """What an instrument is. Its name is what scripts write, so it is chosen once."""

    name = forms.CharField(
        max_length=60, validators=[KEY], help_text="short, such as bench-dmm; scripts write it, it stays"
    )
    kind = forms.CharField(max_length=120, help_text="such as 6.5-digit multimeter")
    serial = forms.CharField(max_length=60, required=False, label="Serial number")
    note = forms.CharField(max_length=20_000, required=False, widget=forms.Textarea(attrs={"rows": 3}))


class InstrumentChangeForm(forms.Form):
    """What may change about an instrument later."""

    kind = forms.CharField(max_length=120, help_text="such as 6.5-digit multimeter")
    serial = forms.CharField(max_length=60, required=False, label="Serial number")
    note = forms.CharField(max_length=20_000, required=False, widget=forms.Textarea(attrs={"rows": 3}))
    retired = forms.BooleanField(required=False, help_text="no longer offered when readings are recorded")


def _cell(label: str, example: str, *, required: bool = False, length: int = 40) -> forms.CharField:
    attrs = {"placeholder": example, "autocomplete": "off", "spellcheck": "false"}
    return forms.CharField(
        label=label, max_length=length, required=required, widget=forms.TextInput(attrs=attrs)
    )


class RangeForm(forms.Form):
    """One row: what the maker states about one range."""

    name = _cell("Range", "10 V", required=True, length=60)
    full_scale = _cell("Full scale", "10", required=True)
    unit = _cell("Unit", "V", required=True, length=20)
    percent_of_reading = _cell("% of reading", "0.0035")
    percent_of_range = _cell("% of range", "0.0005")
    counts = _cell("Counts", "2")
    resolution = _cell("Resolution", "10 µV")
    conditions = _cell("Conditions", "1 year, 23 ± 5 °C", length=200)


RangeFormSet = forms.formset_factory(RangeForm, extra=BLANK_ROWS, can_delete=True, max_num=200)


class CalibrationForm(forms.Form):
    """One calibration, as its certificate says."""

    number = forms.CharField(max_length=60, label="Certificate number")
    on = DayField(label="Calibrated on", required=True)
    result = forms.ChoiceField(label="Found", choices=CalibrationResult.choices)
    next_due = DayField(label="Next due", required=True)
    note = forms.CharField(max_length=2_000, required=False, widget=forms.Textarea(attrs={"rows": 2}))
