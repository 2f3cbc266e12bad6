"""The calculators of tolerances, dividers and the trade's ready-made calculations."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from logbook.calculations.lines import parts_of_lines
from logbook.calculations.translate import StackAsked, computed, read_parts
from logbook.common.errors import InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.preferred.dividers import best_divider_pairs
from logbook.core.preferred.series import usual_tolerance_percent
from logbook.core.quantities import format_quantity, parse_number, parse_quantity, unit_named
from logbook.core.trade import READY_MADE, ReadyMade
from logbook.projects.choices import MAY
from logbook.projects.queries import projects_visible_to
from logbook.web.access import person, signed_in
from logbook.web.cautions import CAUTIONS, Caution
from logbook.web.forms.answers import answered, status_of
from logbook.web.forms.calculations import DividerForm, ReadyMadeForm, StackCalculatorForm
from logbook.web.forms.fields import add_problems
from logbook.web.rendering import show
from logbook.web.stack_answers import StackAnswer, answer_of, answer_stack

DIVIDER = "vref*(1 + rtop/rbot)"
LETTER = {"capacitor-energy": "C", "discharge-time": "C", "junction-temperature": "H"}
KEPT = ("formula", "parts", "unit", "samples", "seed")


@dataclass(frozen=True)
class Link:
    """Words and where they lead."""

    words: str
    address: str


@dataclass(frozen=True)
class StackPage:
    """The tolerance calculator; ``saves`` leads to the projects the person may keep the result on."""

    form: forms.Form
    answer: StackAnswer | None
    examples: tuple[Link, ...]
    saves: tuple[Link, ...]


@dataclass(frozen=True)
class PairLine:
    """A pair of resistors, as text."""

    top: str
    bottom: str
    output: str
    error: str
    low: str
    high: str
    address: str


@dataclass(frozen=True)
class DividerPage:
    """The divider calculator."""

    form: forms.Form
    pairs: tuple[PairLine, ...]
    examples: tuple[Link, ...]


@dataclass(frozen=True)
class ReadyMadeListPage:
    """All ready-made calculations."""

    rows: tuple[ReadyMade, ...]


@dataclass(frozen=True)
class ReadyMadePage:
    """One ready-made calculation with what has to be minded at these values."""

    ready: ReadyMade
    form: forms.Form
    answer: StackAnswer | None
    warnings: tuple[str, ...]
    caution: Caution | None
    stack_address: str


@require_safe
@signed_in
def tolerance(request: HttpRequest) -> HttpResponse:
    """Stack up tolerances."""
    form = StackCalculatorForm(request.GET or None)
    answer = answered(form, answer_stack)
    page = StackPage(form, answer, _stack_examples(), _saves(request) if answer else ())
    return show(request, "calculators/tolerance.html", page, status=status_of(form))


def stack_address(formula: str, parts: str, unit: str, limits: str = "") -> str:
    """Return the address of the tolerance calculator, filled in."""
    given = {"formula": formula, "parts": parts, "unit": unit, "limits": limits}
    return f"{reverse('calculator-tolerance')}?{urlencode(given)}"


def _stack_examples() -> tuple[Link, ...]:
    divider = "vref = 0.6 V 1 %\nrtop = 45.3k 1 %\nrbot = 10k 1 %"
    load = "v = 1 V\nrs = 50 Ω\nrl = 60 Ω, 40 Ω to 80 Ω"
    warm = "r = 10k 1 %, 100 ppm/K, -40 to 85 °C, reference 25 °C\nc = 10n 5 %"
    return (
        Link("feedback divider against 3.3 V ± 5 %", stack_address(DIVIDER, divider, "V", "3.3 V ± 5 %")),
        Link(
            "power into a load: an extreme between the corners",
            stack_address("v**2*rl/(rs + rl)**2", load, "mW"),
        ),
        Link("RC corner over temperature", stack_address("1/(2*pi*r*c)", warm, "Hz")),
    )


def _saves(request: HttpRequest) -> tuple[Link, ...]:
    given = urlencode({name: request.GET.get(name, "") for name in KEPT})
    return tuple(
        Link(project.name, f"{reverse('calculation-create', args=[project.slug])}?{given}")
        for project in projects_visible_to(person(request))
        if "edit" in MAY[project.role]  # type: ignore[attr-defined]
    )


@require_safe
@signed_in
def divider(request: HttpRequest) -> HttpResponse:
    """Find the best pairs of preferred values for a divider."""
    form = DividerForm(request.GET or None)
    pairs = answered(form, _pairs) or ()
    own = reverse("calculator-divider")
    examples = (
        Link(
            "3.3 V from a 0.6 V reference",
            f"{own}?{urlencode({'v_out': '3.3', 'v_ref': '0.6', 'series_top': 'E96'})}",
        ),
        Link(
            "a quarter of the input, E24",
            f"{own}?{urlencode({'v_out': '4', 'v_ref': '1', 'series_top': 'E24'})}",
        ),
    )
    return show(
        request, "calculators/divider.html", DividerPage(form, pairs, examples), status=status_of(form)
    )


def _pairs(given: Mapping[str, Any]) -> tuple[PairLine, ...]:
    v_out, v_ref = (
        parse_quantity(given[name], unit="V", where=name).base_value for name in ("v_out", "v_ref")
    )
    total = [
        parse_quantity(given[name] or usual, unit="Ω", where=name).base_value
        for name, usual in (("total_low", "1k"), ("total_high", "1M"))
    ]
    tolerance_percent = parse_number(given["tolerance"], where="tolerance") if given["tolerance"] else None
    found = best_divider_pairs(
        v_out,
        v_ref,
        series_top=given["series_top"],
        series_bottom=given["series_bottom"] or None,
        total_range=(total[0], total[1]),
        tolerance_percent=tolerance_percent,
        count=8,
    )
    ohm = unit_named("Ω")
    percents = [
        f"{usual_tolerance_percent(name) if tolerance_percent is None else tolerance_percent} %"
        for name in (given["series_top"], given["series_bottom"] or given["series_top"])
    ]
    write = _decimals([pair.output for pair in found] + [pair.high for pair in found])
    lines = []
    for pair in found:
        top, bottom = (format_quantity(value, ohm) for value in (pair.top, pair.bottom))
        lines.append(
            PairLine(
                top=top,
                bottom=bottom,
                output=write(pair.output),
                error=f"{pair.error_percent:+.3f} %",
                low=write(pair.low),
                high=write(pair.high),
                address=stack_address(
                    DIVIDER,
                    f"vref = {v_ref} V\nrtop = {top} {percents[0]}\nrbot = {bottom} {percents[1]}",
                    "V",
                ),
            )
        )
    return tuple(lines)


def _decimals(values: Sequence[float]) -> Callable[[float], str]:
    """Return how to write values so that the largest has five digits and the points stand in line."""
    largest = max((abs(value) for value in values), default=1.0)
    before = math.floor(math.log10(largest)) + 1 if largest > 0 else 1
    return f"{{:.{max(0, 5 - before)}f}}".format


@require_safe
@signed_in
def ready_made_list(request: HttpRequest) -> HttpResponse:
    """Show all ready-made calculations."""
    return show(request, "calculators/ready_made_list.html", ReadyMadeListPage(tuple(READY_MADE.values())))


@require_safe
@signed_in
def ready_made(request: HttpRequest, key: str) -> HttpResponse:
    """Compute a ready-made calculation; it begins with its example."""
    if key not in READY_MADE:
        message = f"no ready-made calculation {key!r}"
        raise Http404(message)
    ready = READY_MADE[key]
    usual = {part.name: f"{part.example} {part.tolerance}".rstrip() for part in ready.parts}
    form = ReadyMadeForm(request.GET or usual, calculation=ready)
    answer: StackAnswer | None = None
    warnings: tuple[str, ...] = ()
    lines = ""
    if form.is_valid():
        lines = "\n".join(f"{name} = {form.cleaned_data[name]}" for name in usual)
        try:
            answer, warnings = _ready_answer(ready, lines)
        except (CoreError, InvalidInputError) as error:
            add_problems(form, _at_part(error))
    page = ReadyMadePage(
        ready=ready,
        form=form,
        answer=answer,
        warnings=warnings,
        caution=CAUTIONS[LETTER[key]] if warnings and key in LETTER else None,
        stack_address=stack_address(ready.formula_text, lines, ready.unit),
    )
    return show(request, "calculators/ready_made.html", page, status=status_of(form))


def _ready_answer(ready: ReadyMade, lines: str) -> tuple[StackAnswer, tuple[str, ...]]:
    """Return the answer and what has to be said at its worst values."""
    asked = StackAsked(ready.formula_text, parts_of_lines(lines), ready.unit, samples=50_000)
    found = computed(asked)
    highest = {part.name: part.band[1] for part in read_parts(asked.parts)}
    result = found.extreme.high * float(unit_named(ready.unit).factor)
    said = tuple(
        one.text for one in ready.cautions if (highest[one.part] if one.part else result) > one.above
    )
    return answer_of(found, asked.parts), said


def _at_part(error: CoreError | InvalidInputError) -> CoreError | InvalidInputError:
    """Move a problem of a part to its own field."""
    if not isinstance(error, InvalidInputError):
        return error
    moved = [(one, one.field.removeprefix("parts.")) for one in error.problems]
    first, field = moved[0]
    return InvalidInputError.of(
        field, first.message, given=first.given, allowed=first.allowed, code=first.code
    )
