"""The filter of the timeline."""

from __future__ import annotations

from django import forms

from logbook.recall.timeline import KINDS


class TimelineFilter(forms.Form):
    """What kind of lines is shown, and before which day."""

    kind = forms.ChoiceField(required=False, choices=[("", "everything"), *((kind, kind) for kind in KINDS)])
    before = forms.DateField(
        label="Before the day", required=False, widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
