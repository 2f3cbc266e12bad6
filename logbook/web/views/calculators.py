"""The calculators: forms that are read back from the address, so that every result can be linked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.web.access import signed_in
from logbook.web.calculations import (
    PreferredAnswer,
    QuantityAnswer,
    UncertaintyAnswer,
    VerdictAnswer,
    answer_preferred,
    answer_quantity,
    answer_uncertainty,
    answer_verdict,
)
from logbook.web.forms.answers import answered, status_of
from logbook.web.forms.calculators import (
    AttributeForm,
    PreferredValueForm,
    QuantityForm,
    SampleForm,
    UncertaintyForm,
    VerdictForm,
)
from logbook.web.rendering import show
from logbook.web.sample_calculations import AttributeAnswer, SampleAnswer, answer_attribute, answer_sample
from logbook.web.strips import Strip, strip_for


@dataclass(frozen=True)
class Example:
    """A filled-in form to try, as words and as an address."""

    words: str
    query: str


@dataclass(frozen=True)
class CalculatorListPage:
    """The list of calculators stands in its template."""


@dataclass(frozen=True)
class ConventionsPage:
    """The conventions stand in their template."""


@dataclass(frozen=True)
class VerdictPage:
    """The verdict calculator; ``answer`` is None until the form is filled in and can be read."""

    form: forms.Form
    examples: tuple[Example, ...]
    answer: VerdictAnswer | None
    strip: Strip | None


@dataclass(frozen=True)
class UncertaintyPage:
    """The uncertainty calculator."""

    form: forms.Form
    examples: tuple[Example, ...]
    answer: UncertaintyAnswer | None


@dataclass(frozen=True)
class QuantityPage:
    """The quantity calculator."""

    form: forms.Form
    examples: tuple[Example, ...]
    answer: QuantityAnswer | None


@dataclass(frozen=True)
class PreferredPage:
    """The preferred-value calculator."""

    form: forms.Form
    examples: tuple[Example, ...]
    answer: PreferredAnswer | None


@dataclass(frozen=True)
class SamplePage:
    """The small-sample calculator."""

    form: forms.Form
    examples: tuple[Example, ...]
    answer: SampleAnswer | None


@dataclass(frozen=True)
class AttributePage:
    """The calculator of a share of failures."""

    form: forms.Form
    examples: tuple[Example, ...]
    answer: AttributeAnswer | None


@require_safe
@signed_in
def calculator_list(request: HttpRequest) -> HttpResponse:
    """Show what can be calculated."""
    return show(request, "calculators/list.html", CalculatorListPage())


@require_safe
@signed_in
def conventions(request: HttpRequest) -> HttpResponse:
    """Show the conventions the site computes by."""
    return show(request, "calculators/conventions.html", ConventionsPage())


@require_safe
@signed_in
def verdict(request: HttpRequest) -> HttpResponse:
    """Judge a value by its limits."""
    form = VerdictForm(request.GET or None)
    answer = answered(form, answer_verdict)
    strip = strip_for(answer.issue, measurement=answer.measurement) if answer else None
    examples = (
        _example(limits="3.3 V ± 2 %", value="3.317 V", expanded_uncertainty="1 mV"),
        _example(limits="≤ 30 mVpp", value="28.5 mVpp", expanded_uncertainty="2 mVpp"),
        _example(limits="100 of 100", value="99 of 100"),
    )
    return _shown(request, "verdict", form, VerdictPage(form, examples, answer, strip))


@require_safe
@signed_in
def uncertainty(request: HttpRequest) -> HttpResponse:
    """Work out the uncertainty of a reading."""
    form = UncertaintyForm(request.GET or None)
    examples = (
        _example(reading="3.298 V", percent_of_reading="0.05", counts="3", resolution="1 mV"),
        _example(
            reading="3.298 V", percent_of_reading="0.0035", percent_of_range="0.0005", range_value="10 V"
        ),
        _example(reading="3.301 V", resolution="1 mV", repeats="3.301; 3.303; 3.300; 3.302"),
    )
    answer = answered(form, answer_uncertainty)
    return _shown(request, "uncertainty", form, UncertaintyPage(form, examples, answer))


@require_safe
@signed_in
def quantity(request: HttpRequest) -> HttpResponse:
    """Read a quantity or a part's marking."""
    form = QuantityForm(request.GET or None)
    examples = (
        _example(text="4k7J", kind="resistance"),
        _example(text="4p7C", kind="capacitance"),
        _example(text="12.288 MHz"),
    )
    return _shown(request, "quantity", form, QuantityPage(form, examples, answered(form, answer_quantity)))


@require_safe
@signed_in
def preferred_value(request: HttpRequest) -> HttpResponse:
    """Find the preferred value nearest to a wanted one."""
    form = PreferredValueForm(request.GET or None)
    examples = (
        _example(value="4k83", series="E96"),
        _example(value="31.25 kΩ", series="E24"),
        _example(value="95 nF", series="E6", kind="capacitance"),
    )
    answer = answered(form, answer_preferred)
    return _shown(request, "preferred_value", form, PreferredPage(form, examples, answer))


@require_safe
@signed_in
def sample(request: HttpRequest) -> HttpResponse:
    """Say what a few readings can and cannot say."""
    form = SampleForm(request.GET or None)
    examples = (
        _example(values="3.322 V; 3.319 V; 3.326 V", limits="3.234..3.366 V"),
        _example(values="3.317 V", limits="3.234..3.366 V"),
    )
    return _shown(request, "sample", form, SamplePage(form, examples, answered(form, answer_sample)))


@require_safe
@signed_in
def attribute(request: HttpRequest) -> HttpResponse:
    """Bound the share of failures behind a count."""
    form = AttributeForm(request.GET or None)
    examples = (
        _example(failures="0", trials="1e9", sides="upper"),
        _example(failures="1", trials="20"),
    )
    answer = answered(form, answer_attribute)
    return _shown(request, "attribute", form, AttributePage(form, examples, answer))


def _shown(request: HttpRequest, name: str, form: forms.Form, context: Any) -> HttpResponse:
    return show(request, f"calculators/{name}.html", context, status=status_of(form))


def _example(**given: str) -> Example:
    return Example(", ".join(given.values()), urlencode(given))
