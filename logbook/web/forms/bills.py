"""Forms of bills of materials."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.http import QueryDict

from logbook.core.parts_list import MAX_BYTES, MEANINGS, Kind
from logbook.projects.choices import ChangeKind
from logbook.projects.commands.bills import PickedChange
from logbook.projects.models import Revision, Subsystem
from logbook.projects.queries.bills import ProposedChange
from logbook.web.forms.design import KEY_HELP

NO_SUBSYSTEM = "-"
LABELS = {
    "designators": "Designators",
    "quantity": "Quantity",
    "value": "Value",
    "footprint": "Footprint",
    "part_number": "Part number",
    "maker": "Maker",
    "description": "Description",
    "fitted": "Fitted (yes or no)",
    "not_fitted": "Not fitted (yes or no)",
}


class BillFileForm(forms.Form):
    """A file, or the one that was read a moment ago and travels along."""

    file = forms.FileField(label="File", required=False, help_text="CSV, up to 5 MB.")
    kept = forms.CharField(required=False, widget=forms.HiddenInput)
    kept_name = forms.CharField(required=False, max_length=200, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        """Return the fields with ``data`` and ``name`` of the file."""
        given: dict[str, Any] = super().clean() or self.cleaned_data
        file = given.get("file")
        if file is not None:
            return given | {"data": file.read(MAX_BYTES + 1), "name": file.name or ""}
        if not given.get("kept"):
            self.add_error("file", "Choose a file.")
            return given
        try:
            data = base64.b64decode(given["kept"], validate=True)
        except (binascii.Error, ValueError):
            self.add_error("file", "The file did not come along; choose it again.")
            return given
        return given | {"data": data, "name": given.get("kept_name", "")}


class ColumnsForm(forms.Form):
    """What each column is taken to hold."""

    def __init__(
        self, *args: object, header: Sequence[str], guessed: Mapping[str, str], **options: object
    ) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        names = [(name, name) for name in dict.fromkeys(header) if name]
        for meaning in MEANINGS:
            self.fields[meaning] = forms.ChoiceField(
                label=LABELS[meaning],
                choices=[("", "no column"), *names],
                required=meaning == "designators",
                initial=guessed.get(meaning, ""),
            )

    def names(self) -> dict[str, str]:
        """Return the columns chosen, by meaning."""
        return {meaning: name for meaning, name in self.cleaned_data.items() if name}


class BillFilterForm(forms.Form):
    """Which parts to show."""

    text = forms.CharField(label="Text", required=False, max_length=100)
    subsystem = forms.ChoiceField(label="Subsystem", required=False)
    fitted = forms.ChoiceField(
        label="Fitted",
        required=False,
        choices=[("", "all"), ("fitted", "fitted"), ("not fitted", "not fitted")],
    )

    def __init__(self, *args: object, subsystems: Sequence[str], **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        _choose(self, subsystems)


class CompareForm(forms.Form):
    """Which bill to compare with, and which differences to show."""

    kind = forms.ChoiceField(
        label="Difference", required=False, choices=[("", "all"), *((str(one), str(one)) for one in Kind)]
    )
    subsystem = forms.ChoiceField(label="Subsystem", required=False)

    def __init__(
        self, *args: object, subsystems: Sequence[str], others: Sequence[Revision], **options: object
    ) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        _choose(self, subsystems)
        choices = [(one.label, one.label) for one in others]
        self.fields["with"] = forms.ChoiceField(label="Compared with revision", choices=choices)
        self.order_fields(["with", "kind", "subsystem"])


def _choose(form: forms.Form, subsystems: Sequence[str]) -> None:
    field = form.fields["subsystem"]
    assert isinstance(field, forms.ChoiceField)  # noqa: S101 - tells the type checker
    field.choices = [("", "all"), (NO_SUBSYSTEM, "none yet"), *((key, key) for key in subsystems)]


class ProposalForm(forms.Form):
    """A proposed change, to be picked and worded."""

    picked = forms.BooleanField(label="Record this change", required=False)
    key = forms.CharField(label="Key", max_length=30, help_text=KEY_HELP)
    kind = forms.ChoiceField(label="Kind", choices=ChangeKind.choices)
    what = forms.CharField(label="What changed", max_length=2_000, widget=forms.Textarea(attrs={"rows": 3}))
    designators = forms.CharField(label="Designators", max_length=500, required=False)
    why = forms.CharField(
        label="Why", max_length=2_000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    subsystems = forms.ModelMultipleChoiceField(
        label="Subsystems it touches",
        queryset=Subsystem.objects.none(),
        to_field_name="key",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    touches_nothing = forms.BooleanField(label="It touches none of them", required=False)

    def __init__(
        self, data: QueryDict | None, *, proposed: ProposedChange, subsystems: Sequence[Subsystem]
    ) -> None:
        proposal = proposed.proposal
        initial = {
            "picked": proposed.is_needed,
            "key": proposed.key,
            "kind": proposal.kind,
            "what": shortened(proposal.what, 2_000),
            "designators": shortened(proposal.designators, 500),
            "subsystems": [one for one in subsystems if one.key == proposal.subsystem],
        }
        prefix = proposal.subsystem or "other"
        super().__init__(data, initial=initial, prefix=prefix, use_required_attribute=False)
        self.proposed = proposed
        field = self.fields["subsystems"]
        assert isinstance(field, forms.ModelMultipleChoiceField)  # noqa: S101 - tells the type checker
        field.queryset = Subsystem.objects.filter(pk__in=[one.pk for one in subsystems])
        field.label_from_instance = lambda one: f"{one} · {one.name}"  # type: ignore[method-assign,assignment]

    @property
    def is_picked(self) -> bool:
        """Say whether it was ticked."""
        return self.add_prefix("picked") in self.data

    def clean(self) -> dict[str, Any]:
        """Ask what it touches: silence would say that all evidence still holds."""
        given: dict[str, Any] = super().clean() or self.cleaned_data
        if bool(given.get("subsystems")) == bool(given.get("touches_nothing")):
            self.add_error("subsystems", "Say which subsystems it touches, or that it touches none of them.")
        return given

    def pick(self) -> PickedChange:
        """Return what was picked."""
        given = self.cleaned_data
        names = ("key", "kind", "what", "designators", "why")
        return PickedChange(**{name: given[name] for name in names}, subsystems=tuple(given["subsystems"]))


def shortened(text: str, most: int) -> str:
    """Return the text, cut at a comma with a mark where it is longer than a change can hold."""
    if len(text) <= most:
        return text
    return f"{text[: most - 2].rsplit(',', 1)[0]}, …"


class DesignatorRuleForm(forms.Form):
    """Which designators belong to a subsystem."""

    subsystem = forms.ModelChoiceField(
        label="Subsystem", queryset=Subsystem.objects.none(), to_field_name="key", empty_label=None
    )
    rule = forms.CharField(
        label="Designators",
        max_length=500,
        help_text="R12 is one, U1-U4 a range, L* every one of the class L. One wins over a range, a range "
        "over a class.",
    )

    def __init__(self, *args: object, subsystems: Any, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field = self.fields["subsystem"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - tells the type checker
        field.queryset = subsystems
        field.label_from_instance = lambda one: f"{one} · {one.name}"  # type: ignore[method-assign,assignment]
