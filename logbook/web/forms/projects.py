"""Forms of projects, their members and their state."""

from __future__ import annotations

from django import forms

from logbook.accounts.models import User
from logbook.projects.choices import ProjectState, Role
from logbook.projects.models import Project
from logbook.projects.queries import projects_visible_to
from logbook.web.forms.fields import MomentField, TagsField

# The words of the severities belong to targets; here stands only what finding one early saves.
HOURS = {
    "hours_s1": "Hours saved by finding an S1 fault before ordering",
    "hours_s2": "… an S2 fault",
    "hours_s3": "… an S3 fault",
    "hours_s4": "… an S4 fault",
    "hours_s5": "… an S5 fault",
}


class ProjectForm(forms.Form):
    """What a project is; ``slug`` only while it is new."""

    name = forms.CharField(label="Name", max_length=120)
    slug = forms.CharField(
        label="Short name for addresses and scripts",
        max_length=60,
        required=False,
        help_text="Lower-case letters, digits and hyphens, such as saltlark. "
        "Left empty, it is made of the name. It stays for ever.",
        widget=forms.TextInput(attrs={"autocapitalize": "none", "spellcheck": "false"}),
    )
    code = forms.CharField(label="Code", max_length=12, required=False, help_text="As printed on the boards.")
    purpose = forms.CharField(
        label="What it is for",
        max_length=20_000,
        required=False,
        help_text="Written for yourself in ten years. Markdown.",
        widget=forms.Textarea(attrs={"rows": 6}),
    )
    characteristics = TagsField(
        label="Characteristics",
        required=False,
        help_text="What is in it, in words with hyphens: external-dram mains-powered audio-path.",
    )
    descends_from = forms.ModelChoiceField(
        label="Descends from",
        queryset=Project.objects.none(),
        to_field_name="slug",
        required=False,
        empty_label="no other project",
    )
    part_of = forms.ModelChoiceField(
        label="Is part of",
        queryset=Project.objects.none(),
        to_field_name="slug",
        required=False,
        empty_label="no other project",
    )
    shares_counts = forms.BooleanField(
        label="Share how often first checks fail",
        required=False,
        initial=True,
        help_text="Only two counts for each kind of subsystem cross to other projects of this site.",
    )

    def __init__(
        self, *args: object, person: User, project: Project | None = None, **options: object
    ) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        others = projects_visible_to(person)
        if project is not None:
            others = others.exclude(pk=project.pk)
            del self.fields["slug"]
            for name, label in HOURS.items():
                self.fields[name] = forms.FloatField(label=label, min_value=0, widget=forms.NumberInput())
        for name in ("descends_from", "part_of"):
            kept = getattr(project, f"{name}_id", None)
            if kept and not others.filter(pk=kept).exists():
                # A tie to a project this person cannot see stays as it is.
                del self.fields[name]
                continue
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - tells the type checker
            field.queryset = others


class ProjectStateForm(forms.Form):
    """The project became active, shelved or finished."""

    state = forms.ChoiceField(label="It is now", choices=ProjectState.choices, widget=forms.RadioSelect)
    note = forms.CharField(
        label="Why, and what to do first on return",
        max_length=20_000,
        required=False,
        help_text="Markdown.",
        widget=forms.Textarea(attrs={"rows": 5}),
    )
    at = MomentField(label="Since", help_text="Left empty: now.")


class MemberForm(forms.Form):
    """Who belongs to the project, in which role."""

    user = forms.CharField(
        label="Name",
        max_length=150,
        help_text="The name this person signs in with.",
        widget=forms.TextInput(attrs={"autocapitalize": "none", "autocomplete": "off"}),
    )
    role = forms.ChoiceField(label="Role", choices=Role.choices, initial=Role.READER)


class ProjectFilter(forms.Form):
    """Narrows the list of projects."""

    q = forms.CharField(label="Name or characteristic", required=False)
    state = forms.ChoiceField(label="State", required=False, choices=[("", "any"), *ProjectState.choices])


class ChangeFilter(forms.Form):
    """Narrows the record of changes."""

    q = forms.CharField(label="Name", required=False)
    kind = forms.ChoiceField(label="Kind", required=False)

    def __init__(self, *args: object, kinds: list[str], **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        self.fields["kind"] = forms.ChoiceField(
            label="Kind", required=False, choices=[("", "any"), *((kind, kind) for kind in kinds)]
        )
