"""Forms of what a design is made of: subsystems, revisions and options."""

from __future__ import annotations

from collections.abc import Sequence

from django import forms

from logbook.projects.choices import SubsystemKind
from logbook.projects.models import Option, Project, Revision, Subsystem
from logbook.projects.queries import revisions_of, subsystems_of
from logbook.web.forms.fields import DayField

KEY_HELP = "Letters, digits and . _ + - only. It stays for ever."
NOT_RECORDED, NOT_FITTED, POSITION = "", "none", "at "


def _key(label: str, example: str) -> forms.CharField:
    widget = forms.TextInput(attrs={"autocapitalize": "characters", "spellcheck": "false"})
    return forms.CharField(
        label=label, max_length=30, help_text=f"Such as {example}. {KEY_HELP}", widget=widget
    )


class SubsystemForm(forms.Form):
    """A part of the design with a job of its own; ``key`` only while it is new."""

    key = _key("Key", "RLD for the digital rails")
    name = forms.CharField(label="Name", max_length=120)
    kind = forms.ChoiceField(
        label="Kind",
        choices=SubsystemKind.choices,
        help_text="Failures of the same kind elsewhere say how likely one is here.",
    )
    depends_on = forms.MultipleChoiceField(
        label="Depends on",
        required=False,
        help_text="A change there makes readings here older than they look.",
        widget=forms.CheckboxSelectMultiple,
    )
    purpose = forms.CharField(
        label="What it does",
        max_length=20_000,
        required=False,
        help_text="Markdown.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(
        self, *args: object, project: Project, subsystem: Subsystem | None = None, **options: object
    ) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        others = [other for other in subsystems_of(project) if other != subsystem]
        if others:
            choices = [(other.key, f"{other.key} · {other.name}") for other in others]
            self.fields["depends_on"].choices = choices  # type: ignore[attr-defined]
        else:
            del self.fields["depends_on"]
        if subsystem is not None:
            del self.fields["key"]


class RevisionForm(forms.Form):
    """One state of the design; ``label`` and ``parent`` only while it is new."""

    label = forms.CharField(label="Label", max_length=20, help_text=f"Such as A, B or 1.2. {KEY_HELP}")
    parent = forms.ModelChoiceField(
        label="Drawn from",
        queryset=Revision.objects.none(),
        to_field_name="label",
        required=False,
        empty_label="nothing: a fresh start",
        help_text="What was proved there carries over as far as the changes allow.",
    )
    summary = forms.CharField(
        label="What is new in it",
        max_length=20_000,
        required=False,
        help_text="Markdown.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    drawn_on = DayField(label="Drawn on")
    ordered_on = DayField(label="Ordered on")
    power_input = forms.CharField(
        label="Power input", max_length=120, required=False, help_text="Such as 9 to 16 V DC, nominal 12 V."
    )
    polarity = forms.CharField(
        label="Polarity and connector",
        max_length=200,
        required=False,
        help_text="Such as J1, centre positive.",
    )
    current_limit = forms.CharField(
        label="Current limit to set", max_length=60, required=False, help_text="Just above the expected draw."
    )
    idle_current = forms.CharField(label="Expected idle current", max_length=60, required=False)
    never_connect = forms.CharField(
        label="Never connect",
        max_length=2_000,
        required=False,
        help_text="What would damage the board, or what is connected to it.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: object, project: Project, is_new: bool, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        if is_new:
            self.fields["parent"].queryset = revisions_of(project).reverse()  # type: ignore[attr-defined]
        else:
            del self.fields["label"], self.fields["parent"]


class OptionForm(forms.Form):
    """A strap, jumper or fit choice the design left open."""

    key = _key("Key", "JP3")
    subsystem = forms.ModelChoiceField(
        label="Subsystem", queryset=Subsystem.objects.none(), to_field_name="key", empty_label=None
    )
    name = forms.CharField(label="What it chooses", max_length=120)
    positions = forms.CharField(
        label="Positions",
        max_length=4_000,
        help_text="One to a line, with what it does after a colon: 1-2: boot from flash.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    note = forms.CharField(
        label="Note",
        max_length=20_000,
        required=False,
        help_text="Markdown.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: object, project: Project, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        self.fields["subsystem"].queryset = subsystems_of(project)  # type: ignore[attr-defined]

    def clean_positions(self) -> list[tuple[str, str]]:
        """Return each position with what it does."""
        return positions_in(self.cleaned_data["positions"])


class OptionChangeForm(forms.Form):
    """What is said of an option, and where it is by design: one field for each revision."""

    name = forms.CharField(label="What it chooses", max_length=120)
    positions = forms.CharField(
        label="New positions",
        max_length=4_000,
        required=False,
        help_text="One to a line, with what it does after a colon. Those it has stay.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    note = forms.CharField(
        label="Note",
        max_length=20_000,
        required=False,
        help_text="Markdown.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(
        self, *args: object, option: Option, revisions: Sequence[Revision], **others: object
    ) -> None:
        super().__init__(*args, **others)  # type: ignore[arg-type]
        names = [position.name for position in option.positions.all()]
        stored = {row.revision_id: row for row in option.designed_positions.all()}
        for revision in revisions:
            row = stored.get(revision.pk)
            self.fields[f"on_{revision.pk}"] = forms.ChoiceField(
                label=f"By design on revision {revision.label}",
                choices=[
                    *([] if row else [(NOT_RECORDED, "not recorded")]),
                    (NOT_FITTED, "not fitted"),
                    *((chosen(name), f"at {name}") for name in names),
                ],
                required=False,
                initial=chosen(row.position.name if row.position else None) if row else NOT_RECORDED,
            )

    def clean_positions(self) -> list[tuple[str, str]]:
        """Return each new position with what it does."""
        return positions_in(self.cleaned_data["positions"])

    def designed(self, revisions: Sequence[Revision]) -> list[tuple[Revision, str]]:
        """Return the revisions for which a choice was made, with the choice."""
        chosen_on = [(revision, self.cleaned_data[f"on_{revision.pk}"]) for revision in revisions]
        return [(revision, choice) for revision, choice in chosen_on if choice != NOT_RECORDED]


def positions_in(text: str) -> list[tuple[str, str]]:
    """Return the (name, meaning) of each line ``name: meaning``."""
    pairs = [line.partition(":") for line in text.splitlines() if line.strip()]
    return [(name.strip(), meaning.strip()) for name, _, meaning in pairs]


def chosen(position: str | None) -> str:
    """Return how a position stands in a list of choices; ``None`` is not fitted."""
    return NOT_FITTED if position is None else POSITION + position


def position_in(choice: str) -> str | None:
    """Return the position a choice names; ``None`` is not fitted."""
    return None if choice == NOT_FITTED else choice.removeprefix(POSITION)
