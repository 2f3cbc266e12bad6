"""Forms of coming back: the day to look at, and the note of the last day."""

from __future__ import annotations

from django import forms

from logbook.projects.models import NOTE_TEXTS
from logbook.web.forms.fields import DayField

# Label, and what to think of.
PARTS = {
    "why_stopped": ("Why it stopped", "Money, parts, a fault, interest, a better idea."),
    "would_restart": ("What would restart it", ""),
    "next_steps": ("The next three steps", "So that a stranger could do them tomorrow."),
    "unsafe": ("What is unsafe", "What would hurt somebody, or a board, if it were simply plugged in."),
    "half_done": ("Reworks half done", ""),
    "never_verified": ("Never verified", "As computed; say what matters most of it."),
    "accepted": ("Deviations accepted", "By whom, and until when."),
    "boards": ("State of each board", ""),
    "whereabouts": ("Where boards, cables, jigs and cells are", ""),
    "cells": ("Charge of the cells, and whether they were taken out", ""),
    "files": ("The set of files and its hashes", ""),
    "toolchain": ("Firmware and where its toolchain is kept", ""),
    "who_knows": ("Who knows what", ""),
}


class LookBackForm(forms.Form):
    """The day to look at."""

    as_of = DayField(label="As it stood on")


class ShelvingNoteForm(forms.Form):
    """What was known on the last day. Every part may stay empty."""

    look_again_on = DayField(label="Look again on")

    def __init__(self, *args: object, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        for name in NOTE_TEXTS:
            label, help_text = PARTS[name]
            self.fields[name] = forms.CharField(
                label=label,
                help_text=help_text,
                max_length=20_000,
                required=False,
                widget=forms.Textarea(attrs={"rows": 3}),
            )
        self.order_fields([*NOTE_TEXTS, "look_again_on"])
