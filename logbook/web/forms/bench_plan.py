"""What the bench plan is asked for: the time there is, and the boards at hand."""

from __future__ import annotations

from collections.abc import Sequence

from django import forms
from django.http import QueryDict

from logbook.boards.choices import AT_HAND
from logbook.boards.models import Board
from logbook.planning.queries.bench_plan import LONGEST

USUAL_MINUTES = 60


class BenchPlanForm(forms.Form):
    """Minutes and boards; an hour and all boards in use or new where nothing was asked."""

    minutes = forms.IntegerField(
        label="Minutes at hand",
        min_value=1,
        max_value=LONGEST,
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"), f"Whole minutes, 1 to {LONGEST}."
        ),
    )
    board = forms.MultipleChoiceField(
        label="Boards at hand",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "This revision has no board %(value)s."},
    )

    def __init__(self, asked: QueryDict, *, boards: Sequence[Board]) -> None:
        data = asked.copy()
        data.setdefault("minutes", str(USUAL_MINUTES))
        if "board" not in data:
            data.setlist("board", [one.serial for one in boards if one.state in AT_HAND])
        super().__init__(data)
        choices = [(one.serial, f"{one.serial}, {one.get_state_display()}") for one in boards]
        self.fields["board"].choices = choices  # type: ignore[attr-defined]
