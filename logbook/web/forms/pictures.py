"""Forms of board pictures: adding one, naming layers, placing, and points of two pictures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from logbook.bench.queries.lists import targets_of
from logbook.evidence.choices import EvidenceKind, Layer, PlacingKind, Side
from logbook.evidence.queries import evidence_of
from logbook.findings.queries import findings_of
from logbook.projects.models import Project
from logbook.projects.queries.connectors import connectors_of
from logbook.web.forms.evidence import FilesField, FilesInput

NOTE = "note:"
MOST_OFFERED = 200


class PhotoForm(forms.Form):
    """A photo, new or kept already, as the picture of a side."""

    side = forms.ChoiceField(label="Side", choices=Side.choices, widget=forms.RadioSelect)
    file = forms.FileField(label="New photo", required=False, help_text="Shot straight from above, well lit.")
    kept = forms.ChoiceField(label="Or a photo that is kept already", required=False)

    def __init__(self, *args: Any, project: Project, **options: Any) -> None:
        super().__init__(*args, **options)
        photos = evidence_of(project, {"kind": EvidenceKind.PHOTO})[:MOST_OFFERED]
        offered = [(str(one.pk), one.caption or one.name) for one in photos]
        self.fields["kept"].choices = [("", "none"), *offered]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Ask for exactly one of the two."""
        given = super().clean() or {}
        if bool(given.get("file")) == bool(given.get("kept")) and not self.errors.get("file"):
            self.add_error("file", "Choose a new photo or one that is kept, not both.")
        return given


class GerberForm(forms.Form):
    """The Gerber and drill files of a revision."""

    file = FilesField(
        label="Files",
        widget=FilesInput(),
        help_text="One ZIP, or all files at once: copper, solder mask, legend, outline (RS-274X or X2) "
        "and holes (Excellon).",
    )


class LayersForm(forms.Form):
    """Which layer each file of a bundle holds."""

    def __init__(self, *args: Any, layers: Sequence[dict[str, str]], **options: Any) -> None:
        super().__init__(*args, **options)
        self.names = [row["name"] for row in layers]
        for place, row in enumerate(layers):
            self.fields[f"layer-{place}"] = forms.ChoiceField(
                label=row["name"], choices=Layer.choices, initial=row["layer"]
            )

    def chosen(self) -> dict[str, str]:
        """Return the layer of each file by its name."""
        return {name: self.cleaned_data[f"layer-{place}"] for place, name in enumerate(self.names)}


class PlacingForm(forms.Form):
    """What is placed, and where in percent of the picture, for who does not click."""

    what = forms.ChoiceField(label="What")
    text = forms.CharField(
        label="Remark",
        max_length=200,
        required=False,
        help_text="Pad, pin or designator; the text of a note.",
    )
    x = forms.FloatField(label="From the left, in %", required=False, min_value=0, max_value=100)
    y = forms.FloatField(label="From the top, in %", required=False, min_value=0, max_value=100)

    def __init__(self, *args: Any, project: Project, **options: Any) -> None:
        super().__init__(*args, **options)
        kinds = PlacingKind
        found = [(f"{kinds.FINDING}:{one.key}", f"{one.key} {one.title}") for one in findings_of(project)]
        plugs = [(f"{kinds.CONNECTOR}:{one.key}", str(one.key)) for one in connectors_of(project)]
        points = [
            (f"{kinds.TEST_POINT}:{one.key}", f"{one.key} {one.probe_at or one.name}")
            for one in targets_of(project)
        ]
        groups = [("Findings", found), ("Connectors", plugs), ("Test points", points)]
        offered = [group for group in groups if group[1]]
        self.fields["what"].choices = [(NOTE, "a note"), *offered]  # type: ignore[attr-defined]

    def kind_and_key(self) -> tuple[str, str]:
        """Return what was chosen."""
        kind, _colon, key = self.cleaned_data["what"].partition(":")
        return kind, key


class PointsForm(forms.Form):
    """Pairs of points, one a line, and the half of a pair that was clicked."""

    pairs = forms.CharField(
        label="Pairs",
        required=False,
        max_length=2_000,
        widget=forms.Textarea(attrs={"rows": 4, "class": "num", "spellcheck": "false"}),
        help_text="One pair a line, in % from the left and top: x y on the first, x y on the second picture.",
    )
    half = forms.CharField(required=False, max_length=100, widget=forms.HiddenInput)

    def clean_pairs(self) -> list[list[float]]:
        """Return the pairs as parts of the pictures."""
        lines = [line.split() for line in self.cleaned_data["pairs"].splitlines() if line.strip()]
        try:
            pairs = [[float(word) / 100 for word in line] for line in lines]
        except ValueError:
            pairs = [[]]
        if any(len(pair) != 4 for pair in pairs):
            message = "Four numbers a line, such as 12.5 80 13.1 79.2."
            raise forms.ValidationError(message)
        return pairs
