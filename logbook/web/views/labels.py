"""Labels: choosing them, sheets to print, single pictures, and what a scanned code leads to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from logbook.boards.queries import board_of
from logbook.common.errors import NotFoundError
from logbook.projects.queries import connector_of
from logbook.recall.labels.codes import Place, parts_of, places_of, read_code
from logbook.recall.labels.content import Label, labels_of
from logbook.recall.labels.layout import laid_out
from logbook.recall.labels.near import Near, codes_near
from logbook.recall.labels.picture import png_of
from logbook.recall.labels.sheets import Sheet, sheets_of
from logbook.recall.labels.sizes import SIZES, SheetSize, size_named
from logbook.web.access import ProjectPage, person, project_page, signed_in
from logbook.web.forms.labels import BOARDS, CONNECTORS, LabelForm
from logbook.web.rendering import pdf_answer, show
from logbook.web.site import site_address

SHEET = "labels/sheet.html"
LONGEST_CODE = 200


@dataclass(frozen=True)
class LabelRow:
    """A label in the list: what it says, and the address of its picture."""

    label: Label
    picture: str


@dataclass(frozen=True)
class LabelsPage:
    """What the page of labels shows; no rows where the form cannot be read."""

    page: ProjectPage
    form: forms.Form
    rows: Sequence[LabelRow]
    has_boards: bool


@dataclass(frozen=True)
class SheetPage:
    """What sheets to print show."""

    page: ProjectPage
    size: SheetSize
    sheets: Sequence[Sheet]


@dataclass(frozen=True)
class WhichPage:
    """What is shown where a code fits several boards or none, or before one was typed.

    ``trouble`` says what is wrong with it, ``near`` are boards it may have been meant for.
    """

    places: Sequence[Place]
    typed: str
    trouble: str = ""
    near: Sequence[Near] = ()


@signed_in
@require_safe
def label_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Choose labels and the sheet they go on."""
    page = project_page(request, slug)
    form = LabelForm(request.GET, project=page.project)
    is_read = form.is_valid()
    rows = [_row(slug, label, form) for label in _labels(request, form)] if is_read else []
    context = LabelsPage(page, form, rows, bool(form.boards))
    return show(request, "labels/list.html", context, status=200 if is_read or not form.boards else 400)


@signed_in
@require_safe
def label_sheet(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the sheets, to be printed from the browser."""
    page = project_page(request, slug)
    form = LabelForm(request.GET, project=page.project)
    if not form.is_valid():
        return redirect(f"{reverse('label-list', args=[slug])}?{request.GET.urlencode()}")
    return show(request, SHEET, _sheets(request, page, form))


@signed_in
@require_safe
def label_pdf(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the sheets as a PDF file."""
    page = project_page(request, slug)
    form = LabelForm(request.GET, project=page.project)
    if not form.is_valid():
        return redirect(f"{reverse('label-list', args=[slug])}?{request.GET.urlencode()}")
    return pdf_answer(request, SHEET, _sheets(request, page, form), filename=f"{slug}-labels.pdf")


@signed_in
@require_safe
def label_png(request: HttpRequest, slug: str, serial: str, key: str = "") -> HttpResponse:
    """Return the label of a board, or of one of its connectors, as a picture."""
    page = project_page(request, slug)
    board = board_of(page.project, serial)
    connectors = [connector_of(page.project, key)] if key else []
    size = size_named(request.GET.get("size", SIZES[0].key))
    label, *_ = labels_of(
        [board], connectors, site=site_address(request), on=timezone.localdate(), own=not key
    )
    answer = HttpResponse(png_of(laid_out(label, size)), content_type="image/png")
    name = "-".join(part for part in (slug, serial, key, "label.png") if part)
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


@signed_in
@require_safe
def code_page(request: HttpRequest, code: str = "") -> HttpResponse:
    """Lead to what a label is about, scanned or typed; ask which where several fit."""
    typed = code or request.GET.get("code", "")
    try:
        places = places_of(person(request), read_code(typed)) if typed.strip() else []
    except NotFoundError as error:
        typed = " ".join(parts_of(typed))[:LONGEST_CODE]
        context = WhichPage((), typed, error.message, codes_near(person(request), typed))
        return show(request, "labels/which.html", context, status=404)
    if len(places) == 1:
        return redirect(_address_of(places[0]))
    return show(request, "labels/which.html", WhichPage(places, typed))


def _address_of(place: Place) -> str:
    slug = place.board.project.slug
    if place.connector:
        return f"{reverse('connector-detail', args=[slug, place.connector.key])}#board-{place.board.serial}"
    return reverse("board-detail", args=[slug, place.board.serial])


def _labels(request: HttpRequest, form: LabelForm) -> list[Label]:
    given = form.cleaned_data
    return labels_of(
        [form.boards[serial] for serial in given["board"]],
        [form.connectors[key] for key in given["connector"]] if given["of"] != BOARDS else [],
        site=site_address(request),
        on=timezone.localdate(),
        own=given["of"] != CONNECTORS,
    )


def _sheets(request: HttpRequest, page: ProjectPage, form: LabelForm) -> SheetPage:
    sheets = sheets_of(_labels(request, form), form.sheet, start=form.cleaned_data["start"])
    return SheetPage(page, form.sheet, sheets)


def _row(slug: str, label: Label, form: LabelForm) -> LabelRow:
    name = "connector-label" if label.connector else "board-label"
    keys = [slug, label.serial, *([label.connector] if label.connector else [])]
    return LabelRow(label, f"{reverse(name, args=keys)}?size={form.sheet.key}")
