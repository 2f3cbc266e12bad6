"""Forms of the bench: one reading, its withdrawal, a sitting, a table of readings."""

from __future__ import annotations

import re
import uuid
from collections.abc import Sequence
from typing import Any, cast

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.http import QueryDict

from logbook.bench.commands import ReadingInput
from logbook.bench.commands.repeats import repeats_in
from logbook.bench.models import BenchSession, Instrument, TargetIssue
from logbook.bench.queries.lists import instruments
from logbook.bench.translate import limits_of
from logbook.boards.models import Board
from logbook.core.errors import CoreError
from logbook.core.limits import slip_in
from logbook.core.quantities import convert, parse_quantity, unit_named
from logbook.projects.models import Project
from logbook.web.forms.fields import MomentField

WORDS = ("inconclusive", "seen working", "not working")
# No instrument's name holds this sign, so a name and a range can share one field.
BETWEEN = "|"
_COMMA = re.compile(r"([+\-\u2212]?[0-9]+),([0-9]+)(\s*[^0-9.,].*)?")
THOUSANDS = 3


def meters_at_hand(session: BenchSession | None) -> list[Instrument]:
    """Return the instruments in use, those of the sitting first."""
    taking_part = set(session.instruments.values_list("pk", flat=True)) if session else set()
    usable = [one for one in instruments() if not one.retired]
    return sorted(usable, key=lambda one: (one.pk not in taking_part, one.name))


def meter_choices(unit: str, usable: Sequence[Instrument]) -> list[tuple[str, Any]]:
    """Return the instruments for a reading in ``unit``, each with its fitting ranges."""
    base = unit_named(unit).base
    groups = [(one.name, _ranges(one, base)) for one in usable]
    return [("", "not stated"), *groups]


def _ranges(instrument: Instrument, base: str) -> list[tuple[str, str]]:
    fitting = [row for row in instrument.ranges.all() if unit_named(row.unit).base == base]
    automatic = f"{instrument.name}, range by size" if fitting else instrument.name
    return [(instrument.name, automatic)] + [
        (f"{instrument.name}{BETWEEN}{row.name}", f"{instrument.name}, {row.name}") for row in fitting
    ]


def first_fitting(choices: list[tuple[str, Any]], session: BenchSession | None) -> str:
    """Return the first instrument of the sitting that has a range in this unit; empty when none has."""
    names = {one.name for one in session.instruments.all()} if session else set()
    return next((name for name, group in choices[1:] if name in names and len(group) > 1), "")


def comma_refusal(text: str) -> str:
    """Return why a number with one comma is refused and how to write it; empty when it is none."""
    match = _COMMA.fullmatch(text.strip())
    if match is None:
        return ""
    whole, part, rest = match.group(1), match.group(2), match.group(3) or ""
    thousands = f", or {whole}{part}{rest} if the comma parts thousands" if len(part) == THOUSANDS else ""
    return (
        f"“{text.strip()}” holds a comma, which could mean two things: write {whole}.{part}{rest}{thousands}."
    )


class EntryForm(forms.Form):
    """One reading at the bench. ``word`` is pressed instead of typing a value."""

    value = forms.CharField(label="reads", max_length=64, required=False)
    word = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)
    meter = forms.CharField(label="with", max_length=130, required=False)
    expanded_uncertainty = forms.CharField(label="± U", max_length=40, required=False)
    coverage_factor = forms.CharField(label="k", max_length=20, required=False)
    repeats = forms.CharField(max_length=40_000, required=False)
    firmware = forms.CharField(max_length=120, required=False)
    note = forms.CharField(max_length=20_000, required=False, widget=forms.Textarea(attrs={"rows": 3}))
    target = forms.CharField(max_length=30, widget=forms.HiddenInput)
    point = forms.CharField(max_length=60, required=False, widget=forms.HiddenInput, strip=False)
    bench_session = forms.IntegerField(required=False, max_value=10**15, widget=forms.HiddenInput)
    taken_at = MomentField(widget=forms.HiddenInput)
    key = forms.CharField(max_length=80, required=False, widget=forms.HiddenInput)
    # The value somebody was asked about and records as it is.
    surely = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)
    despite_stop = forms.BooleanField(label="Record anyway", required=False)

    def clean(self) -> dict[str, Any]:
        """A word pressed counts as the value; repeats alone have their mean as the value."""
        cleaned = super().clean() or self.cleaned_data
        cleaned["value"] = cleaned.get("word") or cleaned.get("value", "")
        for name in ("value", "expanded_uncertainty", "coverage_factor"):
            refusal = comma_refusal(cleaned.get(name, ""))
            if refusal:
                self.add_error(name, refusal)
        if "value" in self.errors:
            return cleaned
        if not cleaned["value"] and not cleaned.get("repeats"):
            self.add_error("value", "Type what the instrument reads, or a word such as inconclusive.")
        return cleaned

    def ask_about_slip(self, issue: TargetIssue) -> bool:
        """Ask, once for each value, about one that looks mistyped; say whether it was asked."""
        text = self.cleaned_data["value"]
        if text == self.cleaned_data["surely"] or self.cleaned_data["despite_stop"]:
            return False
        slip = _slip_in(text, issue)
        if slip:
            asked = cast("QueryDict", self.data).copy()
            asked["surely"] = text
            self.data = asked
            self.add_error(
                "value", f"{text} is {slip} the {issue.limits_text} asked. Record again keeps it as it is."
            )
        return bool(slip)

    def reading(self, project: Project, board: Board) -> ReadingInput:
        """Return the reading as given."""
        given = self.cleaned_data
        instrument, _, instrument_range = given["meter"].partition(BETWEEN)
        return ReadingInput(
            project=project.slug,
            board=board.serial,
            value=given["value"],
            target=given["target"],
            point=given["point"],
            repeats=repeats_in(given["repeats"]),
            expanded_uncertainty=given["expanded_uncertainty"] or None,
            coverage_factor=given["coverage_factor"] or None,
            taken_at=given["taken_at"],
            instrument=instrument,
            instrument_range=instrument_range,
            bench_session=given["bench_session"],
            firmware=given["firmware"],
            note=given["note"],
            key=given["key"],
        )


def _slip_in(text: str, issue: TargetIssue) -> str:
    limits = limits_of(issue)
    if limits is None or limits.kind != "number":
        return ""
    try:
        read = parse_quantity(text, unit=limits.unit)
    except CoreError:
        return ""
    return slip_in(convert(read.value, read.unit, limits.unit), limits)


def new_key() -> str:
    """Return the key a reading is sent with, so that sending it twice stores it once."""
    return str(uuid.uuid4())


class WithdrawForm(forms.Form):
    """Why a reading is withdrawn."""

    because = forms.CharField(label="because", max_length=300, initial="mistyped")


class SessionForm(forms.Form):
    """A sitting at the bench; its readings inherit what is entered here once."""

    title = forms.CharField(max_length=120, help_text="What it is for, such as first power of rev C.")
    boards = forms.ModelMultipleChoiceField(Board.objects.none(), widget=forms.CheckboxSelectMultiple)
    instruments = forms.ModelMultipleChoiceField(
        Instrument.objects.none(), widget=forms.CheckboxSelectMultiple, required=False
    )
    firmware = forms.CharField(
        max_length=120, required=False, help_text="Version and commit; readings inherit it."
    )
    supply = forms.CharField(
        max_length=120,
        required=False,
        help_text="Source, voltage set, current limit: PSU-1, 12.0 V, 150 mA.",
    )
    ambient_c = forms.FloatField(label="Ambient, °C", required=False, min_value=-100, max_value=200)
    place = forms.CharField(max_length=120, required=False)
    started_at = MomentField(help_text="Now, when left empty.")
    note = forms.CharField(
        max_length=20_000, required=False, widget=forms.Textarea(attrs={"rows": 4}), help_text="Markdown."
    )
    next_step = forms.CharField(
        max_length=2_000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What to do first next time. It stands on the bench page until then.",
    )

    def __init__(self, *args: Any, project: Project, **options: Any) -> None:
        super().__init__(*args, **options)
        boards = Board.objects.filter(project=project).order_by("serial")
        self.fields["boards"].queryset = boards  # type: ignore[attr-defined]
        usable = Instrument.objects.filter(retired=False).order_by("name")
        self.fields["instruments"].queryset = usable  # type: ignore[attr-defined]

    def values(self) -> dict[str, Any]:
        """Return the descriptive fields."""
        names = ("firmware", "supply", "ambient_c", "place", "note", "next_step")
        return {name: self.cleaned_data[name] for name in names}


class ImportForm(forms.Form):
    """A table of readings, as a file or pasted."""

    file = forms.FileField(label="File", required=False, help_text="CSV, up to 10 MB.")
    text = forms.CharField(
        label="Or paste the table",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "class": "table-text"}),
    )
    taken_at = MomentField(
        label="Taken at",
        help_text="For rows that state no time of their own.",
    )

    def clean(self) -> dict[str, Any]:
        """One of the two is needed, not both."""
        cleaned = super().clean() or self.cleaned_data
        if bool(cleaned.get("file")) == bool((cleaned.get("text") or "").strip()):
            self.add_error(None, "Choose a file or paste a table, one of the two.")
        return cleaned

    def data_given(self) -> bytes:
        """Return the table as bytes."""
        uploaded: UploadedFile[bytes] | None = self.cleaned_data["file"]
        if uploaded is None:
            return str(self.cleaned_data["text"]).encode()
        return bytes(uploaded.read())
