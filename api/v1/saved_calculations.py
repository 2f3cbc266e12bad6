"""``/projects/{slug}/calculations/``: tolerance stack-ups kept on a project."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.numbers import number
from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import Name, Shape, Text, Whole, checked
from api.v1.calculations.tolerance import BandShown, ExtremeShown, PartsField, RootSumSquareShown
from api.views import LogbookView
from logbook.calculations.choices import Method
from logbook.calculations.commands import change_calculation, save_calculation
from logbook.calculations.models import Calculation
from logbook.calculations.queries import calculation_of, calculations_of
from logbook.calculations.translate import StackAsked, soundness_of

ASKED = ("formula", "parts", "unit", "samples", "seed")
TOLD = (
    "key",
    "name",
    "formula",
    "parts",
    "unit",
    "samples",
    "seed",
    "source",
    "note",
    "version",
    "changed_at",
)


class CalculationFields(Shape):
    """What a calculation asks, and what is said of it."""

    name = Name()
    formula = Name()
    parts = PartsField(required=True)
    unit = Text()
    samples = Whole(min_value=1)
    seed = Whole()
    source = Text()  # type: ignore[assignment]
    note = Text()


class CalculationNew(CalculationFields):
    """A new calculation."""

    key = Name()


class CalculationShown(serializers.Serializer[Any]):
    """A calculation and the bands of its present version, in ``unit``."""

    key = serializers.CharField()
    name = serializers.CharField()
    formula = serializers.CharField()
    parts = PartsField()
    unit = serializers.CharField()
    units_checked = serializers.BooleanField()
    units_reason = serializers.CharField(allow_blank=True)
    samples = serializers.IntegerField()
    seed = serializers.IntegerField()
    source = serializers.CharField()  # type: ignore[assignment]
    note = serializers.CharField()
    version = serializers.IntegerField()
    changed_at = serializers.DateTimeField()
    nominal = serializers.FloatField()
    extreme = ExtremeShown()
    root_sum_square = RootSumSquareShown()
    monte_carlo = BandShown()
    shares = serializers.DictField(child=serializers.FloatField())


def shown(calculation: Calculation) -> dict[str, Any]:
    """Return a calculation with its bands as numbers."""
    kept = calculation.bands
    bands: dict[str, Any] = {
        method: {end: number(text) for end, text in kept[method].items()} for method in Method.values
    }
    bands[Method.EXTREME]["exact"] = kept["exact"]
    sound = soundness_of(calculation)
    bands[Method.ROOT_SUM_SQUARE] |= {"usable": not sound.linear_problem, "reason": sound.linear_problem}
    return {
        **{name: getattr(calculation, name) for name in TOLD},
        "units_checked": sound.units_checked,
        "units_reason": sound.units_reason,
        "nominal": number(kept["nominal"]),
        **bands,
        "shares": {name: number(share) for name, share in kept["shares"].items()},
    }


class CalculationList(LogbookView):
    """The calculations of a project."""

    @described("calculations_list", paged(CalculationShown), parameters=PAGED)
    def get(self, request: Request, slug: str) -> Response:
        """Return the calculations by key, each with the bands of its present version."""
        refuse_unknown_parameters(request, PAGED)
        return Response(page_of(calculations_of(self.project(slug)), request, key="key").shown(shown))

    @described("calculations_create", CalculationShown, sends=CalculationNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Keep a calculation on the project."""
        project = self.project(slug)
        given = checked(CalculationNew, request.data)
        asked = StackAsked(**{name: given.pop(name) for name in ASKED if name in given})
        return Response(
            shown(save_calculation(actor=self.actor, project=project, asked=asked, **given)), status=201
        )


class CalculationDetail(LogbookView):
    """One calculation."""

    @described("calculations_read", CalculationShown)
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return the calculation."""
        return Response(shown(calculation_of(self.project(slug), key)))

    @described("calculations_change", CalculationShown, sends=CalculationFields)
    def patch(self, request: Request, slug: str, key: str) -> Response:
        """Change the calculation; what is computed with makes a new version. ``parts`` replaces all."""
        calculation = calculation_of(self.project(slug), key)
        given = checked(CalculationFields, request.data, partial=True)
        return Response(shown(change_calculation(actor=self.actor, calculation=calculation, values=given)))
