"""The form that chooses labels and the sheet they are printed on."""

from __future__ import annotations

from typing import Any

from django import forms

from logbook.boards.choices import BoardState
from logbook.boards.queries import boards_of
from logbook.projects.models import Project
from logbook.projects.queries import connectors_of
from logbook.recall.labels.sizes import SIZES, SheetSize, size_named

MOST_LABELS = 500
BOARDS, BOTH, CONNECTORS = "boards", "both", "connectors"
OF = [
    (BOARDS, "each board"),
    (BOTH, "each board and its connectors"),
    (CONNECTORS, "connectors only"),
]


class LabelForm(forms.Form):
    """Which labels, on which sheet, from which position on."""

    of = forms.ChoiceField(label="Labels for", choices=OF)
    size = forms.ChoiceField(label="Sheet", choices=[(size.key, size.says) for size in SIZES])
    start = forms.IntegerField(
        label="First free position",
        min_value=1,
        max_value=max(size.count for size in SIZES),
        help_text="Counted along the rows, from the upper left.",
    )
    board = forms.MultipleChoiceField(label="Boards", widget=forms.CheckboxSelectMultiple)
    connector = forms.MultipleChoiceField(
        label="Connectors", widget=forms.CheckboxSelectMultiple, required=False
    )

    def __init__(self, asked: Any, *, project: Project) -> None:
        self.boards = {board.serial: board for board in boards_of(project)}
        self.connectors = {connector.key: connector for connector in connectors_of(project)}
        super().__init__(self._asked(asked))
        revisions = {serial: f"{serial} {board.revision.label}" for serial, board in self.boards.items()}
        self.fields["board"].choices = list(revisions.items())  # type: ignore[attr-defined]
        names = {key: f"{key} {connector.name}" for key, connector in self.connectors.items()}
        self.fields["connector"].choices = list(names.items())  # type: ignore[attr-defined]

    def _asked(self, asked: Any) -> Any:
        """Fill in what a link from a board or a connector leaves out."""
        filled = asked.copy()
        filled.setdefault("of", CONNECTORS if "connector" in asked else BOARDS)
        filled.setdefault("size", SIZES[0].key)
        filled.setdefault("start", "1")
        if "size" not in asked and "board" not in asked:
            kept = [serial for serial, one in self.boards.items() if one.state != BoardState.SCRAPPED]
            filled.setlist("board", kept)
        return filled

    def clean(self) -> dict[str, Any]:
        """Refuse a position the sheet does not have, and more labels than a page can take."""
        given: dict[str, Any] = super().clean() or self.cleaned_data
        if "size" in given and given.get("start", 1) > self.sheet.count:
            self.add_error("start", f"This sheet has {self.sheet.count} positions.")
        if given.get("of") in {BOTH, CONNECTORS} and not given.get("connector"):
            self.add_error("connector", "Mark at least one connector, or ask for labels of boards.")
        if self.count > MOST_LABELS:
            self.add_error("board", f"That is {self.count} labels; at most {MOST_LABELS} are made at once.")
        return given

    @property
    def sheet(self) -> SheetSize:
        """Return the sheet chosen."""
        return size_named(self.cleaned_data["size"])

    @property
    def count(self) -> int:
        """Return how many labels that makes."""
        given = self.cleaned_data
        each = (given.get("of") != CONNECTORS) + len(given.get("connector", [])) * (given.get("of") != BOARDS)
        return int(each * len(given.get("board", [])))
