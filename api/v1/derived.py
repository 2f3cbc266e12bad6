"""What the site derives for a revision: coverage and open risks, today or at the end of a past day."""

from __future__ import annotations

from datetime import date
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import refuse_unknown_parameters
from api.parameters import day_asked
from api.schema import described
from api.shapes import Float
from api.unchanged import NOT_MODIFIED, kept_while_unchanged
from api.v1.dispositions import StandingDisposition, standing_disposition
from api.views import LogbookView
from logbook.core.errors import CoreError
from logbook.core.quantities import decimal_of
from logbook.planning.queries import CoverageRow, RiskRow, coverage_of, open_risks_of
from logbook.projects.models import Revision
from logbook.projects.queries import revision_of


class BoardResultShown(serializers.Serializer[Any]):
    """What one board shows: its verdict, and the value of its worst point in ``unit``."""

    board = serializers.CharField()
    verdict = serializers.CharField(allow_null=True)
    value = serializers.JSONField(help_text="A number; text where the reading has none; null without one.")
    unit = serializers.CharField()


class CoverageRowShown(serializers.Serializer[Any]):
    """State of one target on the revision, and why."""

    target = serializers.CharField()
    subsystem = serializers.CharField()
    state = serializers.CharField()
    beneath = serializers.CharField(allow_null=True, help_text="The state a waived target has otherwise.")
    reason = serializers.CharField()
    boards = BoardResultShown(many=True)


class CoverageShown(serializers.Serializer[Any]):
    """Every target of the revision, in the order of the project."""

    project = serializers.CharField()
    revision = serializers.CharField()
    as_of = serializers.DateField(allow_null=True)
    entered_later = serializers.IntegerField(help_text="Entries dated up to that day, entered after it.")
    counts = serializers.DictField(child=serializers.IntegerField())
    rows = CoverageRowShown(many=True)


class RiskRowShown(serializers.Serializer[Any]):
    """One open reason why the next spin may fail. It names its subject: one of the five words is there."""

    level = serializers.CharField()
    kind = serializers.CharField()
    target = serializers.CharField(required=False)
    finding = serializers.CharField(required=False)
    lesson = serializers.CharField(required=False)
    option = serializers.CharField(required=False)
    rework = serializers.CharField(required=False, help_text="Key and board, such as RW-05 of 0004.")
    title = serializers.CharField()
    subsystems = serializers.ListField(child=serializers.CharField())
    targets = serializers.ListField(child=serializers.CharField(), help_text="What one decision covers.")
    reason = serializers.CharField()
    probability = Float(allow_null=True, required=True)
    probability_basis = serializers.CharField()
    severity = serializers.CharField()
    function_level = serializers.CharField()
    harm = serializers.CharField(allow_null=True)
    harm_level = serializers.CharField(allow_null=True)
    hours = Float(required=True, help_text="What finding it now saves over finding it after ordering.")
    fan_out = serializers.IntegerField(help_text="Targets that need it, directly or not.")
    boards = serializers.IntegerField(help_text="Boards of the revision with readings of it that count.")
    weight = Float(required=True, help_text="Probability × hours × (1 + fan-out).")
    closes = serializers.CharField()
    decided = serializers.BooleanField(help_text="Whether a decision on it holds.")
    disposition = StandingDisposition(allow_null=True)


class RisksShown(serializers.Serializer[Any]):
    """The open risks of the revision: undecided ones first, then worst first."""

    project = serializers.CharField()
    revision = serializers.CharField()
    as_of = serializers.DateField(allow_null=True)
    entered_later = serializers.IntegerField(help_text="Entries dated up to that day, entered after it.")
    rows = RiskRowShown(many=True)


class CoverageView(LogbookView):
    """Coverage of a revision."""

    @described("coverage", CoverageShown, parameters=("as_of",), also=NOT_MODIFIED)
    @kept_while_unchanged
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return the state of every target, and what each board shows."""
        refuse_unknown_parameters(request, ("as_of",))
        revision = revision_of(self.project(slug), label)
        found = coverage_of(revision, as_of=day_asked(request))
        head = _head(revision, found.as_of, found.entered_later)
        return Response(head | {"counts": found.counts, "rows": [_coverage_row(row) for row in found.rows]})


class RisksView(LogbookView):
    """Open risks of a revision."""

    @described("risks", RisksShown, parameters=("as_of",), also=NOT_MODIFIED)
    @kept_while_unchanged
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return the open risks: those without a valid decision first, then worst first."""
        refuse_unknown_parameters(request, ("as_of",))
        revision = revision_of(self.project(slug), label)
        found = open_risks_of(revision, as_of=day_asked(request))
        head = _head(revision, found.as_of, found.entered_later)
        return Response(head | {"rows": [_risk_row(row) for row in found.rows]})


def _head(revision: Revision, as_of: date | None, entered_later: int) -> dict[str, Any]:
    return {
        "project": revision.project.slug,
        "revision": revision.label,
        "as_of": as_of,
        "entered_later": entered_later,
    }


def _coverage_row(row: CoverageRow) -> dict[str, Any]:
    return {
        "target": row.target.key,
        "subsystem": row.target.subsystem.key,
        "state": row.state,
        "beneath": row.beneath or None,
        "reason": row.reason,
        "boards": [
            {
                "board": one.board,
                "verdict": one.verdict or None,
                "value": _number_or_text(one.value),
                "unit": one.unit,
            }
            for one in row.boards
        ],
    }


def _number_or_text(value: str) -> float | str | None:
    try:
        return float(decimal_of(value)) if value else None
    except CoreError:
        return value


def _risk_row(row: RiskRow) -> dict[str, Any]:
    plain = (
        "level", "kind", "title", "subsystems", "targets", "reason", "probability", "probability_basis",
        "severity", "function_level", "hours", "fan_out", "boards", "weight", "closes",
    )  # fmt: skip
    return {
        row.subject_kind: row.subject,
        **{name: getattr(row, name) for name in plain},
        "harm": row.harm or None,
        "harm_level": row.harm_level or None,
        "decided": row.is_decided,
        "disposition": standing_disposition(row.disposition),
    }
