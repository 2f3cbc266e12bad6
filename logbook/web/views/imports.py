"""Readings from a table, pasted or as a file."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse

from logbook.bench.commands.importing import COLUMNS, ImportReport, import_readings
from logbook.common.changes import Actor
from logbook.common.errors import DomainError
from logbook.web.access import ProjectPage, person, project_page, signed_in
from logbook.web.forms.bench import ImportForm
from logbook.web.forms.fields import add_problems
from logbook.web.rendering import show

SHOWN_REFUSALS = 200


@dataclass(frozen=True)
class ImportPage:
    """What the import page shows; ``report`` is there once a table was read."""

    page: ProjectPage
    form: ImportForm
    columns: tuple[str, ...]
    report: ImportReport | None
    shown_refusals: int


@signed_in
def csv_import(request: HttpRequest, slug: str) -> HttpResponse:
    """Record the good rows of a table and name what is wrong with the others."""
    page = project_page(request, slug, may="record", door="bench")
    form = ImportForm(request.POST or None, request.FILES or None)
    report = None
    if request.method == "POST" and form.is_valid():
        try:
            report = import_readings(
                actor=Actor(person(request), "csv"),
                project=page.project,
                data=form.data_given(),
                taken_at=form.cleaned_data["taken_at"],
            )
        except DomainError as error:
            add_problems(form, error)
    context = ImportPage(page, form, COLUMNS, report, SHOWN_REFUSALS)
    return show(request, "measurements/import.html", context, status=400 if form.errors else 200)
