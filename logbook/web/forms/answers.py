"""What a calculator answers to a filled-in form, with a slip shown at its field."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from django import forms

from logbook.common.errors import InvalidInputError
from logbook.core.errors import CoreError
from logbook.web.forms.fields import add_problems

Answer = TypeVar("Answer")


def answered(form: forms.Form, answer: Callable[[Mapping[str, Any]], Answer]) -> Answer | None:
    """Return the answer; None before the form is filled in, and with the reason at its field on a slip."""
    if not form.is_valid():
        return None
    try:
        return answer(form.cleaned_data)
    except (CoreError, InvalidInputError) as error:
        add_problems(form, error)
        return None


def status_of(form: forms.Form) -> int:
    """Return the status of the page: 400 with a slip in what was sent."""
    return 400 if form.is_bound and form.errors else 200
