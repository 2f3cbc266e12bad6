"""Filters of the coverage page and of the open-risk list."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms

from logbook.core.risk import Level, RiskKind
from logbook.core.state import State
from logbook.web.forms.fields import DayField

DECIDED, UNDECIDED = "decided", "open"


def _any_of(words: Iterable[str]) -> list[tuple[str, str]]:
    return [("", "any"), *((str(word), str(word)) for word in words)]


class ReviewForm(forms.Form):
    """The subsystem and the day a review is asked for."""

    subsystem = forms.ChoiceField(required=False)
    as_of = DayField(label="As it stood on")

    def __init__(self, *args: Any, subsystems: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["subsystem"] = forms.ChoiceField(required=False, choices=_any_of(subsystems))


class CoverageForm(ReviewForm):
    """Filters of coverage."""

    state = forms.ChoiceField(required=False, choices=_any_of(State))
    field_order = ["state", "subsystem", "as_of"]


class RiskForm(ReviewForm):
    """Filters of the open-risk list."""

    level = forms.ChoiceField(
        required=False, choices=_any_of(level for level in Level if level != Level.ELIMINATED)
    )
    kind = forms.ChoiceField(required=False, choices=_any_of(RiskKind))
    decided = forms.ChoiceField(label="Decision", required=False, choices=_any_of((UNDECIDED, DECIDED)))
    field_order = ["level", "kind", "subsystem", "decided", "as_of"]
