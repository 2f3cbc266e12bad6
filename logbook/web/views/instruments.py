"""The pages of instruments: the list, one instrument, its ranges and its calibrations."""

from __future__ import annotations

from dataclasses import dataclass

from django import forms
from django.contrib import messages
from django.db import transaction
from django.forms.formsets import BaseFormSet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from logbook.bench.commands import add_instrument, change_instrument, record_calibration, set_ranges
from logbook.bench.models import Calibration, Instrument
from logbook.bench.queries.instruments import (
    CalibrationStanding,
    FlaggedReadings,
    calibration_standing,
    flagged_readings_of,
)
from logbook.bench.queries.lists import instrument_of
from logbook.common.errors import DomainError, FieldProblem, InvalidInputError
from logbook.projects.queries import check_edits_somewhere, edits_somewhere
from logbook.web.access import actor_of, person, signed_in
from logbook.web.forms.fields import add_problems
from logbook.web.forms.instruments import (
    CalibrationForm,
    InstrumentChangeForm,
    InstrumentFilterForm,
    InstrumentForm,
    RangeForm,
    RangeFormSet,
)
from logbook.web.instrument_rows import (
    InstrumentLine,
    RangeExample,
    instrument_lines,
    ranges_as_typed,
    site_today,
    stated_ranges,
    worked_out,
)
from logbook.web.rendering import csv_answer, show

DESCRIPTION = ("kind", "serial", "note", "retired")
HEADER = ("name", "kind", "serial", "calibration", "next_due", "last_calibrated", "last_result", "ranges")


@dataclass(frozen=True)
class InstrumentListPage:
    """The list of instruments."""

    form: forms.Form
    lines: tuple[InstrumentLine, ...]
    total: int
    may_change: bool


@dataclass(frozen=True)
class InstrumentPage:
    """One instrument."""

    instrument: Instrument
    standing: CalibrationStanding
    ranges: tuple[RangeExample, ...]
    calibrations: tuple[Calibration, ...]
    flagged: tuple[FlaggedReadings, ...]
    may_change: bool


@dataclass(frozen=True)
class InstrumentFormPage:
    """The form of an instrument with one row for each range; ``instrument`` is None for a new one."""

    instrument: Instrument | None
    form: forms.Form
    rows: BaseFormSet[RangeForm]


@dataclass(frozen=True)
class CalibrationFormPage:
    """The form of a calibration."""

    instrument: Instrument
    form: forms.Form


@signed_in
def instrument_list(request: HttpRequest) -> HttpResponse:
    """Show the instruments, and when each is due for calibration."""
    form = InstrumentFilterForm(request.GET)
    lines = instrument_lines()
    wanted = tuple(line for line in lines if _is_wanted(form, line))
    context = InstrumentListPage(form, wanted, len(lines), edits_somewhere(person(request)))
    return show(request, "instruments/list.html", context)


@signed_in
def instrument_csv(request: HttpRequest) -> HttpResponse:
    """Return the instruments, one a line."""
    form = InstrumentFilterForm(request.GET)
    rows = (
        (
            line.instrument.name,
            line.instrument.kind,
            line.instrument.serial,
            line.standing.state,
            line.standing.next_due,
            line.last.on if line.last else "",
            line.last.result if line.last else "",
            line.range_count,
        )
        for line in instrument_lines()
        if _is_wanted(form, line)
    )
    return csv_answer("instruments.csv", HEADER, rows)


@signed_in
def instrument_detail(request: HttpRequest, name: str) -> HttpResponse:
    """Show one instrument: what its ranges promise, its calibrations, readings taken when overdue."""
    instrument = instrument_of(name)
    context = InstrumentPage(
        instrument=instrument,
        standing=calibration_standing(instrument, site_today()),
        ranges=tuple(worked_out(one) for one in instrument.ranges.all()),
        calibrations=tuple(reversed(instrument.calibrations.all())),
        flagged=flagged_readings_of(instrument, person(request)),
        may_change=edits_somewhere(person(request)),
    )
    return show(request, "instruments/detail.html", context)


@signed_in
def instrument_create(request: HttpRequest) -> HttpResponse:
    """Add an instrument with its ranges."""
    check_edits_somewhere(person(request))
    form = InstrumentForm(request.POST or None)
    rows = RangeFormSet(request.POST or None, prefix="ranges")
    if request.method == "POST" and form.is_valid() and rows.is_valid():
        try:
            instrument = add_instrument(
                actor=actor_of(request), ranges=stated_ranges(rows), **form.cleaned_data
            )
        except DomainError as error:
            _show_problems(form, rows, error)
        else:
            messages.success(request, f"{instrument.name} is added.")
            return redirect("instrument-detail", instrument.name)
    return _form_page(request, InstrumentFormPage(None, form, rows))


@signed_in
def instrument_edit(request: HttpRequest, name: str) -> HttpResponse:
    """Change what an instrument is and what its ranges state."""
    check_edits_somewhere(person(request))
    instrument = instrument_of(name)
    form = InstrumentChangeForm(request.POST or None, initial=_description(instrument))
    rows = RangeFormSet(request.POST or None, prefix="ranges", initial=ranges_as_typed(instrument))
    if request.method == "POST" and form.is_valid() and rows.is_valid():
        try:
            _store(request, instrument, form, rows)
        except DomainError as error:
            _show_problems(form, rows, error)
        else:
            messages.success(request, f"{name} is saved.")
            return redirect("instrument-detail", name)
    return _form_page(request, InstrumentFormPage(instrument, form, rows))


@signed_in
def calibration_create(request: HttpRequest, name: str) -> HttpResponse:
    """Record a calibration."""
    check_edits_somewhere(person(request))
    instrument = instrument_of(name)
    form = CalibrationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            record_calibration(actor=actor_of(request), instrument=instrument, **form.cleaned_data)
        except InvalidInputError as error:
            add_problems(form, error)
        else:
            messages.success(request, f"Calibration {form.cleaned_data['number']} is recorded.")
            return redirect("instrument-detail", name)
    context = CalibrationFormPage(instrument, form)
    status = 400 if form.errors else 200
    return show(request, "instruments/calibration_form.html", context, status=status)


def _form_page(request: HttpRequest, context: InstrumentFormPage) -> HttpResponse:
    is_wrong = bool(context.form.errors or context.rows.non_form_errors() or any(context.rows.errors))
    return show(request, "instruments/form.html", context, status=400 if is_wrong else 200)


def _description(instrument: Instrument) -> dict[str, object]:
    return {name: getattr(instrument, name) for name in DESCRIPTION}


@transaction.atomic
def _store(
    request: HttpRequest, instrument: Instrument, form: forms.Form, rows: BaseFormSet[RangeForm]
) -> None:
    """Store both parts or neither. Unchanged ranges are left alone: readings point at them."""
    actor = actor_of(request)
    change_instrument(actor=actor, instrument=instrument, values=form.cleaned_data)
    if rows.has_changed():
        set_ranges(actor=actor, instrument=instrument, ranges=stated_ranges(rows))


def _show_problems(form: forms.Form, rows: BaseFormSet[RangeForm], error: DomainError) -> None:
    """Put what the command refused at its row where it names one, else at the form."""
    kept = [row for row in rows.forms if row.cleaned_data and row not in rows.deleted_forms]
    for problem in error.problems:
        part, _, rest = problem.field.partition(".")
        place, _, name = rest.partition(".")
        if part == "ranges" and place.isdecimal():
            field = FieldProblem(name, problem.message, problem.given, problem.allowed)
            add_problems(kept[int(place)], InvalidInputError(problem.message, problems=[field]))
        else:
            add_problems(form, InvalidInputError(problem.message, problems=[problem]))


def _is_wanted(form: forms.Form, line: InstrumentLine) -> bool:
    if not form.is_valid():
        return True
    state, text = form.cleaned_data["calibration"], form.cleaned_data["q"].lower()
    if state and line.standing.state != state:
        return False
    instrument = line.instrument
    return any(text in value.lower() for value in (instrument.name, instrument.kind, instrument.serial))
