"""Calculations kept on a project: the list, one of them, saving and changing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from logbook.bench.commands import take_band
from logbook.bench.queries.basis import BasedTarget, targets_based_on
from logbook.bench.queries.lists import target_of
from logbook.calculations.choices import Method
from logbook.calculations.commands import change_calculation, save_calculation
from logbook.calculations.lines import lines_of_parts
from logbook.calculations.models import Calculation
from logbook.calculations.queries import calculation_of, calculations_of, changes_of_calculation
from logbook.calculations.translate import soundness_of
from logbook.common.errors import DomainError
from logbook.common.models import ChangeRecord
from logbook.core.errors import CoreError
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.calculations import AsLimitsForm, CalculationForm
from logbook.web.forms.fields import add_problems, sent
from logbook.web.rendering import csv_answer, show
from logbook.web.stack_answers import StackAnswer, answer_kept, asked_in
from logbook.web.views.calculations.calculators import stack_address

FORM = require_http_methods(["GET", "HEAD", "POST"])
PREFILLED = ("formula", "parts", "unit", "samples", "seed")
HEADER = (
    "calculation", "name", "formula", "parts", "unit", "nominal", "extreme_low", "extreme_high",
    "root_sum_square_low", "root_sum_square_high", "monte_carlo_low", "monte_carlo_high",
    "version", "changed_at",
)  # fmt: skip


@dataclass(frozen=True)
class ListedCalculation:
    """One row of the list."""

    calculation: Calculation
    nominal: str
    extreme: str


@dataclass(frozen=True)
class CalculationListPage:
    """The calculations of a project."""

    page: ProjectPage
    rows: list[ListedCalculation]
    text: str


@dataclass(frozen=True)
class CalculationPage:
    """One calculation: what it gives, which limits rest on it, and how it came to be."""

    page: ProjectPage
    calculation: Calculation
    answer: StackAnswer
    based: list[BasedTarget]
    history: Sequence[ChangeRecord]
    as_limits: forms.Form
    stack_address: str


@dataclass(frozen=True)
class CalculationFormPage:
    """The form of a new or an existing calculation."""

    page: ProjectPage
    form: forms.Form
    calculation: Calculation | None
    back: str


@signed_in
@require_safe
def calculation_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the calculations of a project."""
    page = project_page(request, slug)
    text = _text(request)
    rows = [_listed(one) for one in _filtered(page, text)]
    return show(request, "calculations/list.html", CalculationListPage(page, rows, text))


@signed_in
@require_safe
def calculations_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the calculations of a project as CSV."""
    page = project_page(request, slug)
    return csv_answer(f"{slug}-calculations.csv", HEADER, map(_csv, _filtered(page, _text(request))))


def _text(request: HttpRequest) -> str:
    return request.GET.get("text", "").replace("\0", "").strip()


def _filtered(page: ProjectPage, text: str) -> list[Calculation]:
    found = calculations_of(page.project)
    if not text:
        return list(found)
    return list(found.filter(key__icontains=text) | found.filter(name__icontains=text))


def _listed(calculation: Calculation) -> ListedCalculation:
    answer = answer_kept(calculation)
    return ListedCalculation(calculation, answer.nominal, answer.picture.rows[0].words)


def _csv(one: Calculation) -> tuple[object, ...]:
    ends = [one.bands[method][end] for method in Method.values for end in ("low", "high")]
    parts = lines_of_parts(one.parts).replace("\n", "; ")
    return (
        one.key, one.name, one.formula, parts, one.unit, one.bands["nominal"], *ends,
        one.version, one.changed_at.isoformat(),
    )  # fmt: skip


@signed_in
@require_safe
def calculation_detail(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Show a calculation, the limits that rest on it, and its versions."""
    page = project_page(request, slug)
    calculation = calculation_of(page.project, key)
    answer = answer_kept(calculation)
    context = CalculationPage(
        page=page,
        calculation=calculation,
        answer=answer,
        based=targets_based_on(calculation),
        history=list(changes_of_calculation(calculation)[:100]),
        as_limits=AsLimitsForm(project=page.project, linear_problem=answer.sound.linear_problem),
        stack_address=stack_address(calculation.formula, lines_of_parts(calculation.parts), calculation.unit),
    )
    return show(request, "calculations/detail.html", context)


@signed_in
@require_safe
def calculation_limits(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Go to the form that makes a band the limits of a target, filled in."""
    page = project_page(request, slug, may="edit")
    calculation = calculation_of(page.project, key)
    problem = soundness_of(calculation).linear_problem
    form = AsLimitsForm(request.GET, project=page.project, linear_problem=problem)
    if not form.is_valid():
        return redirect("calculation-detail", slug, key)
    target = form.cleaned_data["target"]
    address = (
        reverse("target-issue", args=[slug, target.key]) if target else reverse("target-create", args=[slug])
    )
    given = {"calculation": calculation.key, "band": form.cleaned_data["band"]}
    return redirect(f"{address}?{urlencode(given)}")


@signed_in
@require_POST
def calculation_take(request: HttpRequest, slug: str, key: str, target: str) -> HttpResponse:
    """Issue a target anew with the band as it is now."""
    page = project_page(request, slug, may="edit")
    calculation = calculation_of(page.project, key)
    asked = target_of(page.project, target)
    newest = list(asked.issues.all())[-1]
    try:
        issue = take_band(
            actor=actor_of(request),
            target=asked,
            calculation=calculation,
            band=newest.calculation_band,
            reason=f"{calculation.key} has moved; limits are those of version {calculation.version}",
        )
    except DomainError as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"{target} has issue {issue.number}: {issue.limits_text}.")
    return redirect("target-detail", slug, target)


@signed_in
@FORM
def calculation_create(request: HttpRequest, slug: str) -> HttpResponse:
    """Keep a calculation on the project; the calculator fills it in."""
    page = project_page(request, slug, may="edit")
    prefilled = {name: request.GET[name] for name in PREFILLED if request.GET.get(name)}
    form = CalculationForm(sent(request), initial=prefilled, is_new=True)
    if form.is_valid():
        told = {name: form.cleaned_data[name] for name in ("key", "name", "source", "note")}
        try:
            asked = asked_in(form.cleaned_data)
            saved = save_calculation(actor=actor_of(request), project=page.project, asked=asked, **told)
        except (DomainError, CoreError) as error:
            add_problems(form, error)
        else:
            messages.success(request, f"{saved.key} is kept.")
            return redirect("calculation-detail", slug, saved.key)
    return _form_page(
        request, CalculationFormPage(page, form, None, reverse("calculation-list", args=[slug]))
    )


@signed_in
@FORM
def calculation_edit(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Change a calculation; anything that is computed with makes a new version."""
    page = project_page(request, slug, may="edit")
    calculation = calculation_of(page.project, key)
    form = CalculationForm(sent(request), initial=_initial(calculation), is_new=False)
    if form.is_valid():
        try:
            values = _values(form.cleaned_data)
            changed = change_calculation(actor=actor_of(request), calculation=calculation, values=values)
        except (DomainError, CoreError) as error:
            add_problems(form, error)
        else:
            messages.success(request, f"{key} stands at version {changed.version}.")
            return redirect("calculation-detail", slug, key)
    back = reverse("calculation-detail", args=[slug, key])
    return _form_page(request, CalculationFormPage(page, form, calculation, back))


def _values(given: dict[str, Any]) -> dict[str, Any]:
    asked = asked_in(given)
    computed_with = {name: getattr(asked, name) for name in PREFILLED}
    return computed_with | {name: given[name] for name in ("name", "source", "note")}


def _initial(calculation: Calculation) -> dict[str, Any]:
    names = ("name", "formula", "unit", "samples", "seed", "source", "note")
    return {name: getattr(calculation, name) for name in names} | {"parts": lines_of_parts(calculation.parts)}


def _form_page(request: HttpRequest, context: CalculationFormPage) -> HttpResponse:
    return show(request, "calculations/form.html", context, status=400 if context.form.errors else 200)
