"""The form of the search."""

from __future__ import annotations

from typing import Any

from django import forms

from logbook.accounts.models import User
from logbook.projects.queries import projects_visible_to
from logbook.recall.search.documents import KINDS


class SearchForm(forms.Form):
    """What is looked for, and where. What cannot be read is left out, so that every address answers."""

    q = forms.CharField(
        label="Words, keys or values", required=False, widget=forms.TextInput({"type": "search"})
    )
    project = forms.ChoiceField(required=False)
    kind = forms.ChoiceField(required=False, choices=[("", "anything"), *((kind, kind) for kind in KINDS)])

    def __init__(self, person: User, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.projects = {project.slug: project for project in projects_visible_to(person)}
        choices = [(slug, project.name) for slug, project in self.projects.items()]
        self.fields["project"] = forms.ChoiceField(required=False, choices=[("", "all I can see"), *choices])
