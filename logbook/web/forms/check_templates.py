"""Forms of the check templates: which to pick, and what to change before they become targets."""

from __future__ import annotations

from typing import Any

from django import forms

from logbook.bench.check_templates import CheckTemplate
from logbook.bench.commands import Pick
from logbook.projects.models import Subsystem
from logbook.web.forms.targets import ProjectForm


class IntoSubsystemForm(ProjectForm):
    """The subsystem the new targets belong to."""

    subsystem = forms.ModelChoiceField(
        Subsystem.objects.none(), label="Put the picked checks into", empty_label="choose a subsystem"
    )


class PickForm(forms.Form):
    """One line of the table: a tick, and what may differ from the template."""

    picked = forms.BooleanField(required=False)
    key = forms.CharField(max_length=30, required=False)
    limits = forms.CharField(max_length=120, required=False)
    nominal = forms.CharField(max_length=60, required=False)
    minutes = forms.IntegerField(min_value=0, max_value=100_000, required=False)

    def __init__(self, check: CheckTemplate, data: Any = None, *, subsystem: str = "…") -> None:
        initial = {"limits": check.limits, "minutes": check.minutes}
        super().__init__(data, prefix=check.key, initial=initial)
        self.check = check
        for name, label in self._labels().items():
            self.fields[name].widget.attrs["aria-label"] = label
        self.fields["nominal"].widget.attrs["placeholder"] = f"nominal, {check.unit}"
        self.fields["key"].widget.attrs["placeholder"] = f"{subsystem}-{check.key}"
        if not check.limits:
            self.fields["limits"].widget.attrs["placeholder"] = f"fill in, {check.unit}"

    def _labels(self) -> dict[str, str]:
        key = self.check.key
        return {
            "picked": f"Pick {key}, {self.check.name}",
            "key": f"Key of the target from {key}",
            "limits": f"Limits of {key}",
            "nominal": f"Nominal value of {key}",
            "minutes": f"Minutes of {key}",
        }

    @property
    def is_picked(self) -> bool:
        """Say whether the line was ticked, whatever else is wrong with it."""
        return self.is_bound and bool(self["picked"].value())

    def pick(self, subsystem: Subsystem) -> Pick:
        """Return what was picked; for valid forms only."""
        given = self.cleaned_data
        return Pick(
            template=self.check.key,
            subsystem=subsystem,
            key=given["key"],
            limits=given["limits"],
            nominal=given["nominal"],
            minutes=given["minutes"],
        )
