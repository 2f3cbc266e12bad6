"""A page that is one form: shown, checked, handed to a command, and on to the next page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from logbook.common.errors import ConflictError, InvalidInputError
from logbook.core.errors import CoreError
from logbook.web.access import ProjectPage
from logbook.web.forms.fields import add_problems
from logbook.web.rendering import show


@dataclass(frozen=True)
class FormPage:
    """What a page with one form shows; ``page`` is missing before there is a project."""

    page: ProjectPage | None
    form: forms.Form
    title: str
    lead: str
    submit: str
    back: str
    caution: str = ""


@dataclass(frozen=True)
class Saved:
    """What was done, said in a sentence, and where to go on."""

    says: str
    goes_to: str


def answer_form(
    request: HttpRequest, shown: FormPage, save: Callable[[dict[str, Any]], Saved]
) -> HttpResponse:
    """Show the form, or hand what was sent to ``save``; what a command refuses is shown at its field."""
    if request.method == "POST" and shown.form.is_valid():
        try:
            saved = save(shown.form.cleaned_data)
        except (InvalidInputError, ConflictError, CoreError) as error:
            add_problems(shown.form, error)
        else:
            messages.success(request, saved.says)
            return redirect(saved.goes_to)
    return show(request, "form_page.html", shown)
