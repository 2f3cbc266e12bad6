"""Forms of decisions on open risks."""

from __future__ import annotations

from django import forms

from logbook.bench.models import Target
from logbook.bench.queries.lists import targets_of
from logbook.core.risk import Decision
from logbook.planning.queries.changes_ahead import changes_ahead
from logbook.projects.models import Change, Project, Revision
from logbook.web.forms.fields import DayField

DECISIONS = (
    (Decision.CHANGE, "change: the design is changed, or the rework made official"),
    (Decision.TEST_FIRST, "test first: a reading before ordering, then look again"),
    (Decision.ACCEPT, "accept: as it is, until a day or a revision"),
    (Decision.DEFER, "defer: until a later revision"),
)


class DispositionForm(forms.Form):
    """One decision, for all rows it is made on."""

    decision = forms.ChoiceField(
        label="Decision", choices=[(str(word), says) for word, says in DECISIONS], widget=forms.RadioSelect
    )
    reason = forms.CharField(
        label="Why",
        max_length=2_000,
        required=False,
        help_text="One reason for all marked rows. An acceptance needs it.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    owner = forms.CharField(
        label="Owner",
        max_length=120,
        required=False,
        help_text="Who answers for it. An acceptance needs a name.",
    )
    change = forms.ChoiceField(
        label="Change that fixes it",
        required=False,
        help_text="A change needs it. Until it is in the files, a High or Serious row stands in the way.",
    )
    expires_on = DayField(label="Accepted until", help_text="Last day it holds.")
    expires_with = forms.CharField(
        label="or until revision",
        max_length=20,
        required=False,
        help_text="Its label, which need not exist yet. It ends there and on all that descends from it.",
    )
    reopens_with = forms.CharField(
        label="Deferred until revision", max_length=20, required=False, help_text="Its label, such as D."
    )

    def __init__(self, *args: object, revision: Revision, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        self.changes = {str(change.pk): change for change in changes_ahead(revision)}
        named = [(pk, f"{one} of {one.revision} · {one.what[:80]}") for pk, one in self.changes.items()]
        field = self.fields["change"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - tells the type checker
        field.choices = [("", "none yet"), *named]

    def clean_change(self) -> Change | None:
        """Return the change itself; a decision to change needs one."""
        change = self.changes.get(self.cleaned_data["change"])
        if change is None and self.cleaned_data.get("decision") == Decision.CHANGE:
            message = "No change is named yet: choose one, or plan it first."
            raise forms.ValidationError(message)
        return change


class NotApplicableForm(forms.Form):
    """A target that does not apply to a revision."""

    target = forms.ModelChoiceField(
        label="Target", queryset=Target.objects.none(), to_field_name="key", empty_label=None
    )
    reason = forms.CharField(
        label="Why it does not apply", max_length=2_000, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: object, project: Project, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field = self.fields["target"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - tells the type checker
        field.queryset = targets_of(project)
        field.label_from_instance = _asked  # type: ignore[assignment]


def _asked(target: Target) -> str:
    return f"{target.key} · {target.name}"
