"""``/targets/{key}/sample/``: what the boards of each revision say of a target."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import refuse_unknown_parameters
from api.schema import described
from api.shapes import Float
from api.v1.calculations.samples import OF_BASIS, PROBABILITY_BASES
from api.views import LogbookView
from logbook.bench.queries.lists import target_of
from logbook.planning.queries import BoardReading, PointSample, Share, samples_of


class SampledBoard(serializers.Serializer[Any]):
    """The reading of a board that counts as designed, in ``unit`` of the sample."""

    board = serializers.CharField()
    measurement = serializers.IntegerField()
    value = Float(allow_null=True, required=True)
    verdict = serializers.CharField(allow_null=True)


class SharedFailures(serializers.Serializer[Any]):
    """Failures in trials; the bounds of their true share, ``upper`` alone where nothing failed."""

    failures = serializers.IntegerField()
    trials = serializers.IntegerField()
    estimate = serializers.FloatField()
    lower = serializers.FloatField()
    upper = serializers.FloatField()
    sides = serializers.ChoiceField([("two", "two"), ("upper", "upper")])


class SampleRowShown(serializers.Serializer[Any]):
    """One revision at one point; null is what its boards cannot say."""

    revision = serializers.CharField()
    point = serializers.CharField()
    issue = serializers.IntegerField()
    limits = serializers.CharField()
    unit = serializers.CharField()
    n = serializers.IntegerField()
    mean = Float(allow_null=True, required=True)
    standard_deviation = Float(allow_null=True, required=True)
    range = Float(allow_null=True, required=True)
    cpk = Float(allow_null=True, required=True)
    cpk_interval = serializers.ListField(child=serializers.FloatField(), allow_null=True)
    tolerance_interval = serializers.ListField(child=serializers.FloatField(), allow_null=True)
    probability_out_of_limits = Float(allow_null=True, required=True)
    probability_basis = serializers.ChoiceField(PROBABILITY_BASES, allow_null=True, help_text=OF_BASIS)
    next_board_interval = serializers.ListField(
        child=serializers.FloatField(), allow_null=True, help_text="Holds the next board with 95 %."
    )
    failing_boards = SharedFailures(allow_null=True)
    failing_trials = SharedFailures(allow_null=True)
    boards = SampledBoard(many=True)


class TargetSampleShown(serializers.Serializer[Any]):
    """The samples of a target, oldest revision first, points in their order."""

    project = serializers.CharField()
    target = serializers.CharField()
    rows = SampleRowShown(many=True)


class TargetSampleView(LogbookView):
    """Small samples of a target."""

    @described("target_sample", TargetSampleShown)
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return what the boards of each revision say, one reading a board, as designed."""
        refuse_unknown_parameters(request, ())
        target = target_of(self.project(slug), key)
        rows = [_row(one) for one in samples_of(target)]
        return Response({"project": slug, "target": target.key, "rows": rows})


def _row(one: PointSample) -> dict[str, Any]:
    found, index, following = one.sample, one.capability, one.predictive
    return {
        "revision": one.revision,
        "point": one.point,
        "issue": one.issue.number,
        "limits": one.issue.limits_text,
        "unit": one.unit.symbol,
        "n": found.n if found else 0 if one.is_number else len(one.readings),
        "mean": found.mean if found else None,
        "standard_deviation": found.s if found else None,
        "range": found.range if found else None,
        "cpk": index.cpk if index else None,
        "cpk_interval": index.cpk_interval if index else None,
        "tolerance_interval": one.tolerance,
        "probability_out_of_limits": following.p_out if following else None,
        "probability_basis": following.basis if following else None,
        "next_board_interval": following.interval() if following else None,
        "failing_boards": _share(one.boards),
        "failing_trials": _share(one.errors),
        "boards": [_board(reading) for reading in one.readings],
    }


def _board(one: BoardReading) -> dict[str, Any]:
    return {
        "board": one.board,
        "measurement": one.measurement_id,
        "value": one.value,
        "verdict": one.verdict or None,
    }


def _share(share: Share | None) -> dict[str, Any] | None:
    if share is None:
        return None
    sides = "upper" if share.is_one_sided else "two"
    return {
        "failures": share.failures,
        "trials": share.trials,
        **share.bounds._asdict(),
        "sides": sides,
    }
