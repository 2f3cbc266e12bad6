"""Form of reading an archive."""

from __future__ import annotations

from django import forms


class ArchiveForm(forms.Form):
    """An archive, and who its people are here."""

    file = forms.FileField(label="Archive", help_text="A zip file another site, or this one, wrote.")
    people = forms.CharField(
        label="Who is who",
        required=False,
        max_length=2_000,
        widget=forms.Textarea(attrs={"rows": 3, "spellcheck": "false", "class": "num"}),
        help_text=(
            "One line for each person of the archive who signs in here, such as iv=iv. "
            "Everybody else comes in as a name that cannot sign in."
        ),
    )

    def pairs(self) -> list[str]:
        """Return the lines that say who is who."""
        return [line.strip() for line in self.cleaned_data["people"].splitlines() if line.strip()]
