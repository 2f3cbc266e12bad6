"""Importing a bill of materials: read it, confirm what each column holds, then store it."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from logbook.common.errors import InvalidInputError
from logbook.core.parts_list import Part, ReadBill, guess_columns
from logbook.projects.commands.bills import BillSource, bill_read, bill_source, import_bill
from logbook.projects.models import Revision
from logbook.projects.queries import revision_of
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.bills import BillFileForm, ColumnsForm
from logbook.web.forms.fields import add_problems
from logbook.web.rendering import show

SAMPLE = 8
SHOWN_REMARKS = 50


@dataclass(frozen=True)
class BillImportPage:
    """What the import page shows; ``source`` and what follows are there once a file was read."""

    page: ProjectPage
    revision: Revision
    form: BillFileForm
    source: BillSource | None
    columns: ColumnsForm | None
    kept: str
    read: ReadBill | None
    sample: Sequence[Part]
    shown_remarks: int


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def bill_import(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Read a file and show what it says; store it once the columns are confirmed."""
    page = project_page(request, slug, may="edit", door="next-spin")
    revision = revision_of(page.project, label)
    is_sent = request.method == "POST"
    form = BillFileForm(request.POST, request.FILES) if is_sent else BillFileForm()
    source = _source(form) if is_sent else None
    columns = _columns(request, source) if source else None
    read = _read(source, columns) if source and columns else None
    if source and columns and read and request.POST.get("do") == "import" and not request.FILES:
        try:
            bill = import_bill(
                actor=actor_of(request), revision=revision, source=source, columns=columns.names()
            )
        except InvalidInputError as error:
            add_problems(columns, error)
        else:
            messages.success(request, f"{bill.part_count} parts imported; this bill of {label} stands now.")
            return redirect("bill-detail", slug, label)
    context = BillImportPage(
        page=page,
        revision=revision,
        form=BillFileForm() if source else form,
        source=source,
        columns=columns,
        kept=base64.b64encode(form.cleaned_data["data"]).decode() if source else "",
        read=read,
        sample=read.parts[:SAMPLE] if read else (),
        shown_remarks=SHOWN_REMARKS,
    )
    is_wrong = is_sent and (read is None or bool(columns and columns.errors))
    return show(request, "bills/import.html", context, status=400 if is_wrong else 200)


def _source(form: BillFileForm) -> BillSource | None:
    if not form.is_valid():
        return None
    try:
        return bill_source(form.cleaned_data["data"], file_name=form.cleaned_data["name"])
    except InvalidInputError as error:
        add_problems(form, error)
        return None


def _columns(request: HttpRequest, source: BillSource) -> ColumnsForm:
    """Return the columns as chosen; of a file that was just sent, as guessed."""
    guessed = guess_columns(source.table.header)
    given = guessed if request.FILES else request.POST
    return ColumnsForm(given, header=source.table.header, guessed=guessed)


def _read(source: BillSource, columns: ColumnsForm) -> ReadBill | None:
    if not columns.is_valid():
        return None
    try:
        return bill_read(source, columns.names())
    except InvalidInputError as error:
        add_problems(columns, error)
        return None
