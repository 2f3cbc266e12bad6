"""Rendering a page from its context dataclass: the template gets its fields and nothing else."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from dataclasses import fields
from io import StringIO
from typing import TYPE_CHECKING, Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from logbook.recall.printing import pdf_of

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

# A spreadsheet runs a cell that begins with one of these as a formula.
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


def show(
    request: HttpRequest, template: str, context: DataclassInstance, *, status: int = 200
) -> HttpResponse:
    """Render ``template`` with the fields of a context dataclass."""
    return render(request, template, values_of(context), status=status)


def values_of(context: DataclassInstance) -> dict[str, Any]:
    """Return the fields of a context dataclass as a template gets them."""
    return {field.name: getattr(context, field.name) for field in fields(context)}


def pdf_answer(
    request: HttpRequest, template: str, context: DataclassInstance, *, filename: str
) -> HttpResponse:
    """Return the print view of a page as a PDF download; it holds no picture but drawn ones."""
    html = show(request, template, context).content.decode()
    made = pdf_of(html, address=request.build_absolute_uri())
    answer = HttpResponse(made, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer


def csv_answer(filename: str, header: Sequence[str], rows: Iterable[Sequence[object]]) -> HttpResponse:
    """Return a CSV download; text that a spreadsheet would run as a formula is quoted with an apostrophe."""
    stream = StringIO()
    writer = csv.writer(stream)
    writer.writerow(header)
    writer.writerows([_harmless(cell) for cell in row] for row in rows)
    answer = HttpResponse(stream.getvalue(), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer


def _harmless(cell: object) -> str:
    text = "" if cell is None else str(cell)
    return f"'{text}" if text.startswith(FORMULA_SIGNS) and not _is_number(text) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
