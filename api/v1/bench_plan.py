"""The next bench hour of a revision."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import refuse_unknown_parameters
from api.parameters import whole_number
from api.schema import described
from api.shapes import Float
from api.views import LogbookView
from logbook.core.bench_plan import LeftOut
from logbook.planning.queries import BenchPlanLine, bench_plan_of
from logbook.planning.queries.bench_plan import LONGEST
from logbook.projects.queries import revision_of

USUAL_MINUTES = 60
BOARDS = OpenApiParameter(
    "board",
    str,
    many=True,
    description="Serial of a board at hand, as often as there are; all in use or new when left out.",
)


class PlannedCheckShown(serializers.Serializer[Any]):
    """One target to be read at one point on one board, what that buys, and why it is proposed."""

    target = serializers.CharField()
    board = serializers.CharField()
    point = serializers.CharField(help_text="Empty for a target without named points.")
    minutes = serializers.IntegerField(help_text="Hands-on work.")
    waiting_minutes = serializers.IntegerField(help_text="Takes none of the minutes of the plan.")
    buys = Float(
        allow_null=False,
        required=True,
        help_text="Hours: probability × hours that finding it now saves over finding it after ordering.",
    )
    reason = serializers.CharField()
    stresses_board = serializers.BooleanField()
    cautions = serializers.CharField(help_text="Their letters; empty without any.")


class LeftOutShown(serializers.Serializer[Any]):
    """What is not in the plan, and why; without a board it holds for all of them."""

    target = serializers.CharField()
    board = serializers.CharField()
    point = serializers.CharField()
    reason = serializers.CharField()


class BenchPlanShown(serializers.Serializer[Any]):
    """The checks that buy most in the time there is, in the order to do them."""

    project = serializers.CharField()
    revision = serializers.CharField()
    boards = serializers.ListField(child=serializers.CharField(), help_text="The boards at hand.")
    asked_minutes = serializers.IntegerField(help_text="The time there is.")
    minutes = serializers.IntegerField(help_text="Hands-on work the plan takes.")
    waiting_minutes = serializers.IntegerField()
    buys = Float(allow_null=False, required=True, help_text="Hours.")
    checks = PlannedCheckShown(many=True)
    left_out = LeftOutShown(many=True)
    reason = serializers.CharField(help_text="Why there is no board to plan with; empty where there is one.")
    nearest = serializers.CharField(help_text="Then the nearest ancestor with boards at hand, if any.")


class BenchPlanView(LogbookView):
    """Bench plan of a revision."""

    @described("bench_plan", BenchPlanShown, parameters=("minutes", BOARDS))
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return what to do next with the boards named, or with all boards in use or new."""
        refuse_unknown_parameters(request, ("minutes", "board"))
        revision = revision_of(self.project(slug), label)
        minutes = whole_number(request, "minutes", least=1, most=LONGEST)
        serials = request.query_params.getlist("board")
        plan = bench_plan_of(revision, minutes=minutes or USUAL_MINUTES, serials=serials)
        return Response(
            {
                "project": revision.project.slug,
                "revision": revision.label,
                "boards": [board.serial for board in plan.boards],
                "asked_minutes": plan.asked_minutes,
                "minutes": plan.minutes,
                "waiting_minutes": plan.waiting_minutes,
                "buys": plan.buys,
                "checks": [_check(line) for line in plan.lines],
                "left_out": [_left_out(one) for one in plan.left_out],
                "reason": plan.reason,
                "nearest": plan.nearest,
            }
        )


def _check(line: BenchPlanLine) -> dict[str, Any]:
    return {
        "target": line.target.key,
        "board": line.board.serial,
        "point": line.point,
        "minutes": line.minutes,
        "waiting_minutes": line.waiting_minutes,
        "buys": line.buys,
        "reason": line.reason,
        "stresses_board": line.target.stresses_board,
        "cautions": line.target.cautions,
    }


def _left_out(one: LeftOut) -> dict[str, Any]:
    return {"target": one.target, "board": one.board, "point": one.point, "reason": one.reason}
