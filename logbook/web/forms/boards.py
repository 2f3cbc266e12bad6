"""Forms of boards, their reworks and how their options were found."""

from __future__ import annotations

from collections.abc import Sequence

from django import forms

from logbook.boards.choices import BoardState, ReworkIntent, ReworkKind
from logbook.boards.commands import PathInput
from logbook.boards.models import Rework
from logbook.projects.models import Option, Project, Revision, Subsystem
from logbook.projects.queries import revisions_of, subsystems_of
from logbook.web.forms.design import KEY_HELP, NOT_FITTED, chosen
from logbook.web.forms.fields import MomentField

PATHS_HELP = "One to a line, with wire and length where there is one: U5.3 -> U6.7, 0.2 mm, 34 mm."
SINCE_HELP = "Left empty: now. An earlier moment derives the results since then anew."


class BoardForm(forms.Form):
    """A physical board; serial, revision and state only while it is new."""

    serial = forms.CharField(
        label="Serial",
        max_length=40,
        help_text=f"As written on the board, such as 0006. {KEY_HELP}",
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "spellcheck": "false"}),
    )
    revision = forms.ModelChoiceField(
        label="Built to revision", queryset=Revision.objects.none(), to_field_name="label", empty_label=None
    )
    state = forms.ChoiceField(label="State", choices=BoardState.choices, initial=BoardState.IN_USE)
    location = forms.CharField(label="Place", max_length=200, required=False, help_text="Where it lies.")
    last_powered = forms.CharField(
        label="How it was last powered",
        max_length=200,
        required=False,
        help_text="Such as 12.0 V, limit 150 mA, 77 mA idle.",
    )
    note = forms.CharField(
        label="Note",
        max_length=20_000,
        required=False,
        help_text="Markdown.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: object, project: Project, is_new: bool, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        if is_new:
            self.fields["revision"].queryset = revisions_of(project).reverse()  # type: ignore[attr-defined]
        else:
            for name in ("serial", "revision", "state", "location"):
                del self.fields[name]


class BoardEventForm(forms.Form):
    """A board came into a state or to a place."""

    state = forms.ChoiceField(label="State", choices=BoardState.choices)
    location = forms.CharField(label="Place", max_length=200, required=False, help_text="Where it lies now.")
    note = forms.CharField(label="Note", max_length=2_000, required=False)
    at = MomentField(label="Since", help_text="Left empty: now.")


class ReworkForm(forms.Form):
    """Something done to a board by hand."""

    key = forms.CharField(label="Key", max_length=30, help_text=f"Write it on the board too. {KEY_HELP}")
    kind = forms.ChoiceField(label="Kind", choices=ReworkKind.choices)
    what = forms.CharField(
        label="What was done",
        max_length=2_000,
        help_text="So that a stranger finds it on the board: R89 removed, pads clean.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    paths = forms.CharField(
        label="From where to where",
        max_length=10_000,
        required=False,
        help_text=PATHS_HELP,
        widget=forms.Textarea(attrs={"rows": 3, "spellcheck": "false"}),
    )
    intent = forms.ChoiceField(
        label="Intent",
        widget=forms.RadioSelect,
        choices=[
            (ReworkIntent.TO_DRAWING, "to drawing: it is as drawn again"),
            (ReworkIntent.REPAIR, "repair: it works, otherwise than drawn"),
            (ReworkIntent.MODIFICATION, "modification: it does something else than drawn"),
        ],
    )
    subsystems = forms.ModelMultipleChoiceField(
        label="Subsystems it touches",
        queryset=Subsystem.objects.none(),
        to_field_name="key",
        help_text="After a repair or modification their readings here no longer count as designed.",
        widget=forms.CheckboxSelectMultiple,
    )
    reason = forms.CharField(
        label="Why", max_length=2_000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    reversible = forms.BooleanField(label="It can be undone", required=False, initial=True)
    in_force_from = MomentField(label="Done at", help_text=SINCE_HELP)

    def __init__(self, *args: object, project: Project, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field = self.fields["subsystems"]
        assert isinstance(field, forms.ModelMultipleChoiceField)  # noqa: S101 - tells the type checker
        field.queryset = subsystems_of(project)
        field.label_from_instance = _named  # type: ignore[assignment]

    def clean_paths(self) -> list[PathInput]:
        """Return one path a line."""
        return paths_in(self.cleaned_data["paths"])


class ReworkChangeForm(ReworkForm):
    """What is said of a rework; what its readings hang on stays."""

    def __init__(self, *args: object, project: Project, **options: object) -> None:
        super().__init__(*args, project=project, **options)
        for name in ("key", "intent", "subsystems", "in_force_from"):
            del self.fields[name]


class RecheckForm(forms.Form):
    """A rework was checked after it was done."""

    measurement = forms.IntegerField(
        label="By reading",
        required=False,
        min_value=1,
        help_text="The number of a reading of this board, taken since.",
    )
    note = forms.CharField(
        label="What was seen", max_length=2_000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    at = MomentField(label="Checked at", help_text="Left empty: when the reading was taken, else now.")


def paths_in(text: str) -> list[PathInput]:
    """Return the path of each line ``from -> to, wire, length``."""
    return [_path(line) for line in text.splitlines() if line.strip()]


def _path(line: str) -> PathInput:
    begins_at, arrow, rest = line.replace("→", "->").partition("->")
    leads_to, wire, length = "", "", ""
    if arrow:
        leads_to, _, rest = rest.partition(",")
    else:
        begins_at, _, rest = begins_at.partition(",")
    wire, _, length = rest.partition(",")
    return PathInput(begins_at.strip(), leads_to.strip(), wire.strip(), length.strip())


def paths_as_text(rework: Rework) -> str:
    """Return the paths of a rework as they are typed."""
    lines = []
    for path in rework.paths.all():
        begins = f"{path.begins_at} -> {path.leads_to}" if path.leads_to else path.begins_at
        lines.append(", ".join([begins, path.wire, path.length]).rstrip(", "))
    return "\n".join(lines)


def _named(subsystem: Subsystem) -> str:
    return f"{subsystem} · {subsystem.name}"


class ReworkUndoForm(forms.Form):
    """A rework was undone."""

    note = forms.CharField(label="How it was undone", max_length=2_000, required=False)
    at = MomentField(label="Undone at", help_text=SINCE_HELP)


class OptionSettingForm(forms.Form):
    """The position an option was found in on a board."""

    setting = forms.ChoiceField(label="Found")
    note = forms.CharField(label="Note", max_length=300, required=False)
    in_force_from = MomentField(label="Since", help_text=SINCE_HELP)

    def __init__(self, *args: object, options: Sequence[Option], **others: object) -> None:
        super().__init__(*args, **others)  # type: ignore[arg-type]
        self.fields["setting"] = forms.ChoiceField(
            label="Found",
            choices=[(f"{option.key} · {option.name}", _settings_of(option)) for option in options],
        )

    def clean_setting(self) -> tuple[str, str]:
        """Return the key of the option and the choice of its position."""
        key, _, choice = self.cleaned_data["setting"].partition("|")
        return key, choice


def _settings_of(option: Option) -> list[tuple[str, str]]:
    rows = [(f"{option.key}|{NOT_FITTED}", f"{option.key} not fitted")]
    for position in option.positions.all():
        meaning = f" ({position.meaning})" if position.meaning else ""
        rows.append((f"{option.key}|{chosen(position.name)}", f"{option.key} at {position.name}{meaning}"))
    return rows


class BoardFilter(forms.Form):
    """Narrows the list of boards."""

    q = forms.CharField(label="Serial, place or note", required=False)
    state = forms.ChoiceField(label="State", required=False, choices=[("", "any"), *BoardState.choices])
    revision = forms.CharField(label="Revision", required=False)


class ReworkFilter(forms.Form):
    """Narrows the list of reworks."""

    board = forms.CharField(label="Board", required=False)
    intent = forms.ChoiceField(label="Intent", required=False, choices=[("", "any"), *ReworkIntent.choices])
    recheck = forms.ChoiceField(
        label="Re-check", required=False, choices=[("", "any"), ("open", "re-check open")]
    )
