"""Forms of evidence: adding files, asking for an analysis, taking a number to a target."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from logbook.bench.models import Target
from logbook.bench.queries.evidence import session_choices
from logbook.boards.queries import boards_of
from logbook.evidence.choices import EvidenceKind
from logbook.evidence.parameters import PARAMETERS
from logbook.evidence.queries import FoundNumber
from logbook.projects.models import Project
from logbook.projects.queries import revisions_of
from logbook.web.forms.fields import MomentField

KINDS = [("", "by its content"), *EvidenceKind.choices]


class FilesInput(forms.ClearableFileInput):
    """The browser's chooser, for several files at once."""

    allow_multiple_selected = True


class FilesField(forms.FileField):
    """Several files; at least one."""

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile[Any]]:
        """Return the files sent. What they are is found by reading them, later."""
        given = data if isinstance(data, list | tuple) else [data]
        return [super(FilesField, self).clean(one, initial) for one in given or [None]]


class EvidenceForm(forms.Form):
    """Files, and what they belong to."""

    file = FilesField(
        label="Files",
        widget=FilesInput(),
        # An empty file is named by the command, with the others still kept.
        allow_empty_file=True,
        help_text="Photos, waveform or sweep CSV, WAV, PDF, text. Each is kept as it was given.",
    )
    caption = forms.CharField(label="What they show", max_length=300, required=False)
    board = forms.ChoiceField(label="Board", required=False)
    revision = forms.ChoiceField(label="Revision", required=False)
    session = forms.ChoiceField(label="Bench session", required=False)
    measurement = forms.IntegerField(
        label="Reading", required=False, min_value=1, help_text="The number of a reading they stand behind."
    )
    finding = forms.CharField(
        label="Finding", max_length=40, required=False, help_text="The key of a finding they belong to."
    )
    kind = forms.ChoiceField(label="Kind", required=False, choices=KINDS)
    taken_at = MomentField(label="Taken at")

    def __init__(self, *args: Any, project: Project, **options: Any) -> None:
        super().__init__(*args, **options)
        boards = [(board.serial, board.serial) for board in boards_of(project)]
        revisions = [(one.label, one.label) for one in revisions_of(project)]
        sessions = [(str(one.pk), str(one)) for one in session_choices(project)]
        for name, choices in (("board", boards), ("revision", revisions), ("session", sessions)):
            self.fields[name].choices = [("", "none"), *choices]  # type: ignore[attr-defined]


class CaptionForm(forms.Form):
    """What stands below a file."""

    caption = forms.CharField(label="What it shows", max_length=300, required=False)


class EvidenceFilter(forms.Form):
    """Narrows the list of files."""

    text = forms.CharField(label="Name or caption", required=False)
    kind = forms.ChoiceField(label="Kind", required=False, choices=[("", "any"), *EvidenceKind.choices])
    board = forms.CharField(label="Board", required=False)
    revision = forms.CharField(label="Revision", required=False)


class AnalysisForm(forms.Form):
    """The parameters of one kind of capture, as the evidence app names them."""

    def __init__(self, *args: Any, kind: str, **options: Any) -> None:
        super().__init__(*args, **options)
        for parameter in PARAMETERS.get(kind, ()):
            given: dict[str, Any] = {"label": parameter.label, "required": False, "help_text": parameter.help}
            if parameter.choices:
                choices = [("", "as usual"), *((word, word) for word in parameter.choices)]
                self.fields[parameter.name] = forms.ChoiceField(choices=choices, **given)
            elif parameter.is_long:
                widget = forms.Textarea(attrs={"rows": 4, "spellcheck": "false", "class": "num"})
                self.fields[parameter.name] = forms.CharField(widget=widget, **given)
            else:
                self.fields[parameter.name] = forms.CharField(**given)


class RecordForm(forms.Form):
    """The target, board and point a number of an analysis is a reading of."""

    number = forms.CharField(widget=forms.HiddenInput)
    target = forms.ChoiceField(label="Target")
    board = forms.ChoiceField(label="Board")
    point = forms.CharField(label="Point", max_length=60, required=False)
    unit = forms.CharField(
        label="Unit", max_length=20, required=False, help_text="Only where the file names none."
    )
    expanded_uncertainty = forms.CharField(
        label="Expanded uncertainty",
        max_length=40,
        required=False,
        help_text="With coverage factor 2. The value is rounded to the digits it justifies.",
    )
    instrument = forms.CharField(label="Instrument", max_length=120, required=False)
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(
        self, *args: Any, project: Project, number: FoundNumber, targets: Sequence[Target], **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self._offer("target", [(one.key, f"{one.key} · {one.name}") for one in targets])
        self._offer("board", [(one.serial, one.serial) for one in boards_of(project)])
        if number.unit:
            del self.fields["unit"]

    def _offer(self, name: str, choices: list[tuple[str, str]]) -> None:
        """Offer choices, of which none is taken by itself unless it is the only one."""
        first = [] if len(choices) == 1 else [("", "choose one")]
        self.fields[name].choices = [*first, *choices]  # type: ignore[attr-defined]
