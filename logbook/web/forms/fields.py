"""What was sent to a form, and the problems a command found shown at the fields they belong to."""

from __future__ import annotations

from datetime import datetime
from typing import cast

from django import forms
from django.http import HttpRequest, QueryDict

from logbook.common import clock
from logbook.common.errors import DomainError, FieldProblem
from logbook.core.errors import CoreError


def sent(request: HttpRequest) -> QueryDict | None:
    """Return what was sent, for a form that is shown empty otherwise; sending nothing is sending too."""
    return request.POST if request.method == "POST" else None


def add_problems(form: forms.Form, error: DomainError | CoreError) -> None:
    """Put each problem of ``error`` at its field; what belongs to no field stands above the form."""
    for problem in _problems_of(error):
        form.add_error(problem.field if problem.field in form.fields else None, problem_text(problem))


def show_as_seen(form: forms.Form, version: str) -> None:
    """Let a form that is shown again carry the version whose changes it now tells."""
    data = cast("QueryDict", form.data).copy()
    data["seen"] = version
    form.data = data


def problem_text(problem: FieldProblem) -> str:
    """Return a problem as a sentence that says what is allowed."""
    text = problem.message[:1].upper() + problem.message[1:]
    if problem.allowed and problem.allowed not in text:
        text = f"{text.rstrip('.')} (allowed: {problem.allowed})"
    return text


def _problems_of(error: DomainError | CoreError) -> list[FieldProblem]:
    if isinstance(error, CoreError):
        return [FieldProblem(error.where, error.message, error.given, error.allowed)]
    return list(error.problems) or [FieldProblem("", error.message)]


class TagsField(forms.CharField):
    """Words separated by spaces or commas, kept as a list."""

    def to_python(self, value: object) -> list[str]:  # type: ignore[override]
        """Return the words, each once, in the order typed."""
        text = super().to_python(value) or ""
        return list(dict.fromkeys(text.replace(",", " ").split()))


class MomentField(forms.DateTimeField):
    """A moment, given by the browser's own picker or typed as ``2026-05-02 10:22``."""

    def __init__(self, **options: object) -> None:
        widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
        super().__init__(**{"widget": widget, "required": False, **options})  # type: ignore[arg-type]

    def validate(self, value: datetime | None) -> None:
        """Refuse what no clock that is set would say."""
        super().validate(value)
        if value is not None and not clock.is_sensible(value):
            message = f"This is not {clock.SENSIBLE}: is the clock set?"
            raise forms.ValidationError(message, code="invalid")


class DayField(forms.DateField):
    """A day, given by the browser's own picker or typed as ``2026-05-02``."""

    def __init__(self, **options: object) -> None:
        widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        super().__init__(**{"widget": widget, "required": False, **options})  # type: ignore[arg-type]
