"""``/check-templates/``: the library; and targets made from it, several at once."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.limits import LimitsField
from api.pagination import refuse_unknown_parameters
from api.schema import described, paged
from api.shapes import Name, Names, Shape, Text, Whole, checked
from api.v1.target_shapes import TargetShown, shown
from api.views import LogbookView
from logbook.bench.check_templates import CheckTemplate, library
from logbook.bench.choices import Basis, Severity, TargetKind
from logbook.bench.commands import AddedTarget, Pick, add_targets_from_templates
from logbook.bench.queries.lists import targets_of
from logbook.common.errors import FieldProblem, InvalidInputError
from logbook.core.errors import CoreError
from logbook.projects.choices import SubsystemKind
from logbook.projects.models import Project, Subsystem

FILTERS = ("kind", "text")
DESCRIBED_FILTERS = (
    OpenApiParameter("kind", str, description="Only those for this kind of subsystem."),
    OpenApiParameter("text", str, description="Only those with this text in key, name or method."),
)
SAME = (
    "key", "kind", "name", "result", "limits", "unit", "needs_nominal", "limits_from", "conditions", "basis",
    "standard", "method_standard", "confirmed", "method", "minutes", "waiting_minutes", "needs", "cautions",
    "needs_power", "stresses_board", "depends_on_firmware", "severity",
)  # fmt: skip


class CheckTemplateShown(serializers.Serializer[Any]):
    """One check of the library. Its limits are working defaults; a data sheet wins over them."""

    key = serializers.CharField()
    kind = serializers.ChoiceField(SubsystemKind.choices, help_text="Kind of subsystem.")
    name = serializers.CharField()
    result = serializers.ChoiceField(TargetKind.choices)
    limits = serializers.CharField(help_text="Empty where `limits_from` says whose limits to fill in.")
    unit = serializers.CharField()
    needs_nominal = serializers.BooleanField(help_text="The limits are a tolerance around a nominal.")
    limits_from = serializers.CharField()
    conditions = serializers.CharField()
    basis = serializers.ChoiceField(Basis.choices, help_text="standard or judgement; never a data sheet.")
    basis_note = serializers.CharField(help_text="Where the limits come from, in words.")
    standard = serializers.CharField(help_text="What the limits are quoted from.")
    method_standard = serializers.CharField(help_text="What the method follows.")
    confirmed = serializers.BooleanField(help_text="False where the quotation is from memory.")
    method = serializers.CharField()
    minutes = serializers.IntegerField()
    waiting_minutes = serializers.IntegerField()
    needs = serializers.ListField(child=serializers.CharField(), help_text="Templates needed first.")
    cautions = serializers.CharField()
    needs_power = serializers.BooleanField()
    stresses_board = serializers.BooleanField()
    depends_on_firmware = serializers.BooleanField()
    severity = serializers.ChoiceField(Severity.choices)


class PickShape(Shape):
    """One template to become a target; what is left out is as in the template."""

    template = Name()
    subsystem = Name()
    key = Text(help_text="Made up from subsystem and template when left out.")
    limits = LimitsField()
    nominal = Text()
    points = Names()
    minutes = Whole(max_value=100_000)


class PicksShape(Shape):
    """The templates to become targets, up to 200: all of them, or none."""

    picks = PickShape(many=True)


class AddedShown(serializers.Serializer[Any]):
    """One new target, what it was made to need, and templates it needs that no target is from."""

    template = serializers.CharField()
    target = TargetShown()
    wired = serializers.ListField(child=serializers.CharField())
    missing = serializers.ListField(child=serializers.CharField())


class AddedListShown(serializers.Serializer[Any]):
    """The new targets in dependency order."""

    added = AddedShown(many=True)


class CheckTemplateList(LogbookView):
    """The library."""

    @described("check_templates_list", paged(CheckTemplateShown), parameters=DESCRIBED_FILTERS)
    def get(self, request: Request) -> Response:
        """Return the checks, each after all it needs; they come in one answer."""
        refuse_unknown_parameters(request, FILTERS)
        asked = request.query_params
        kind = asked.get("kind", "")
        if kind and kind not in SubsystemKind.values:
            message = f"no kind of subsystem {kind!r}"
            allowed = ", ".join(SubsystemKind.values)
            raise InvalidInputError.of("kind", message, given=kind, allowed=allowed)
        checks = library().matching(kind=kind, text=asked.get("text", ""))
        return Response({"results": [_shown(check) for check in checks], "next_after": None})


class TargetsFromTemplates(LogbookView):
    """Targets made from check templates."""

    @described("targets_create_from_templates", AddedListShown, sends=PicksShape, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Add a target for each pick, with prerequisites wired; one wrong pick adds none."""
        project = self.project(slug)
        given = checked(PicksShape, request.data)["picks"]
        added = add_targets_from_templates(actor=self.actor, project=project, picks=_picks(project, given))
        return Response({"added": _added(project, added)}, status=201)


def _shown(check: CheckTemplate) -> dict[str, Any]:
    return {name: getattr(check, name) for name in SAME} | {"basis_note": check.basis_text}


def _picks(project: Project, given: list[dict[str, Any]]) -> list[Pick]:
    subsystems = {one.key: one for one in project.subsystems.all()}
    unknown = [
        FieldProblem(
            f"picks.{place}.subsystem",
            f"no subsystem {one['subsystem']!r} here",
            one["subsystem"],
            ", ".join(subsystems) or "none yet",
        )
        for place, one in enumerate(given)
        if one["subsystem"] not in subsystems
    ]
    if unknown:
        message = "; ".join(f"{one.field}: {one.message}" for one in unknown)
        raise InvalidInputError(message, problems=unknown)
    return [_pick(place, one, subsystems[one["subsystem"]]) for place, one in enumerate(given)]


def _pick(place: int, given: dict[str, Any], subsystem: Subsystem) -> Pick:
    limits = given.get("limits", "")
    if not isinstance(limits, str):
        try:
            limits = limits.text_in("")
        except CoreError as error:
            raise InvalidInputError.from_core(f"picks.{place}.limits", error) from error
    return Pick(**{"points": ("",)} | given | {"subsystem": subsystem, "limits": limits})


def _added(project: Project, added: list[AddedTarget]) -> list[dict[str, Any]]:
    """Return the new targets as they are shown elsewhere, each with its first issue."""
    rows = {one.pk: one for one in targets_of(project).filter(pk__in=[one.target.pk for one in added])}
    return [
        {
            "template": one.template.key,
            "target": shown(rows[one.target.pk], next(iter(rows[one.target.pk].issues.all()))),
            "wired": one.wired,
            "missing": one.missing,
        }
        for one in added
    ]
