"""Forms of connectors and of what their pins carry."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms

from logbook.projects.choices import CableKind, PinDirection
from logbook.projects.commands import PinInput
from logbook.projects.models import ConnectorPin, Option, Project, Revision, Subsystem
from logbook.projects.queries import options_of, revisions_of, subsystems_of
from logbook.web.forms.design import KEY_HELP

DIRECTIONS = ", ".join(PinDirection.values)
PINS_HELP = (
    "One to a line: number; name; direction; level; standard, as in "
    "2; TX; out; -5 to -15 V at mark; TIA-232. "
    f"Directions, seen from the board: {DIRECTIONS}."
)
ALWAYS = "always"


class ConnectorForm(forms.Form):
    """A connector as one sees it; ``key`` only while it is new."""

    key = forms.CharField(
        label="Key",
        max_length=30,
        help_text=f"As printed on the board, such as J7. {KEY_HELP}",
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "spellcheck": "false"}),
    )
    name = forms.CharField(label="What it is for", max_length=120)
    subsystem = forms.ModelChoiceField(
        label="Subsystem", queryset=Subsystem.objects.none(), to_field_name="key", empty_label=None
    )
    place = forms.CharField(label="Place on the board", max_length=200, required=False)
    physical = forms.CharField(
        label="What one sees", max_length=200, required=False, help_text="Such as 8-pin circular, female."
    )
    pin_1 = forms.CharField(label="How pin 1 is marked", max_length=200, required=False)
    mates_with = forms.CharField(label="Mating part or cable", max_length=200, required=False)
    cable = forms.ChoiceField(
        label="The cable is", required=False, choices=[("", "not said"), *CableKind.choices]
    )
    caution = forms.CharField(
        label="Where the look misleads",
        max_length=2_000,
        required=False,
        help_text="What a stranger would believe, and what would break.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: object, project: Project, is_new: bool, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field: Any = self.fields["subsystem"]
        field.queryset = subsystems_of(project)
        if not is_new:
            del self.fields["key"]


class PinsForm(forms.Form):
    """A whole table of pins: of a revision, always or while an option is in one position."""

    revision = forms.ModelChoiceField(
        label="From revision",
        queryset=Revision.objects.none(),
        to_field_name="label",
        empty_label=None,
        help_text="Revisions drawn from it have the same, until they get a table of their own.",
    )
    holds = forms.ChoiceField(
        label="It holds",
        required=False,
        help_text="A pin named for a position replaces the one that always has its number.",
    )
    pins = forms.CharField(
        label="Pins",
        required=False,
        max_length=40_000,
        strip=False,
        help_text=PINS_HELP,
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false"}),
    )

    def __init__(self, *args: object, project: Project, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        revision: Any = self.fields["revision"]
        revision.queryset = revisions_of(project).reverse()
        holds: Any = self.fields["holds"]
        holds.choices = [(ALWAYS, "always"), *_by_option(options_of(project))]

    def clean_pins(self) -> list[PinInput]:
        """Return one pin a line; what is missing in a line, the command says."""
        return [_pin(line) for line in self.cleaned_data["pins"].splitlines() if line.strip()]


def _by_option(options: Iterable[Option]) -> list[tuple[str, list[tuple[str, str]]]]:
    return [
        (
            f"while {option.key} is",
            [
                (holds_word(option.key, one.name), f"{option.key} at {one.name}")
                for one in option.positions.all()
            ],
        )
        for option in options
    ]


def holds_word(option: str, position: str) -> str:
    """Return how a position stands in the list of what a table holds for."""
    return f"{option}|{position}"


def _pin(line: str) -> PinInput:
    parts = [part.strip() for part in line.split(";", 4)]
    number, name, direction, level, standard = [*parts, *[""] * (5 - len(parts))]
    return PinInput(number, name, direction, level, standard)


def pins_as_text(pins: Sequence[ConnectorPin]) -> str:
    """Return a table of pins as it is typed."""
    rows = [(pin.number, pin.name, pin.direction, pin.level, pin.standard) for pin in pins]
    return "\n".join("; ".join(row).rstrip("; ") for row in rows)


class ConnectorFilter(forms.Form):
    """Narrows the list of connectors."""

    q = forms.CharField(label="Words", required=False)
    subsystem = forms.CharField(label="Subsystem", required=False)
