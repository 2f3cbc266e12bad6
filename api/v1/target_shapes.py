"""Shapes of targets and of what their issues ask."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from api.limits import LimitsField
from api.shapes import Name, Names, Shape, Text, Whole, Word
from logbook.bench.choices import Basis, Harm, Rule, Severity, TargetKind
from logbook.bench.commands.targets import Asked, unit_asked
from logbook.bench.models import Target, TargetIssue
from logbook.calculations.choices import Method
from logbook.calculations.queries import calculation_named
from logbook.projects.models import Project
from logbook.projects.queries import revision_named

PLANNED = (
    "key",
    "name",
    "position",
    "severity",
    "harm",
    "minutes",
    "waiting_minutes",
    "probe_at",
    "probe_against",
    "stresses_board",
    "needs_power",
    "depends_on_firmware",
    "cautions",
    "note",
)
ASKED = (
    "kind",
    "unit",
    "nominal",
    "rule",
    "points",
    "boards_needed",
    "conditions",
    "method",
    "basis",
    "basis_note",
)


class Planning(Shape):
    """How a target is planned."""

    name = Name()
    subsystem = Name()
    severity = Word(Severity.choices)
    harm = Word(Harm.choices, allow_blank=True)
    minutes = Whole()
    waiting_minutes = Whole()
    probe_at = Text()
    probe_against = Text()
    stresses_board = serializers.BooleanField(required=False)
    needs_power = serializers.BooleanField(required=False)
    depends_on_firmware = serializers.BooleanField(required=False)
    cautions = Text()
    needs_option = Text(allow_null=True)
    note = Text()
    prerequisites = Names()


class AskedFields(Shape):
    """What an issue of a target asks."""

    kind = Word(TargetKind.choices)
    limits = LimitsField()
    unit = Text()
    nominal = Text()
    rule = Word(Rule.choices)
    points = Names()
    boards_needed = Whole(min_value=1)
    conditions = Text()
    method = Text()
    basis = Word(Basis.choices)
    basis_note = Text()
    meant_for = Text(allow_null=True)
    calculation = Text(allow_null=True, help_text="Key of a calculation whose band becomes the limits.")
    calculation_band = Word(Method.choices)


class TargetNew(Planning, AskedFields):
    """A new target with its first issue."""

    key = Name()


class TargetChange(Planning):
    """What can be changed; what the target asks changes by a new issue."""

    position = Whole()


class IssueNew(AskedFields):
    """A new issue of a target; what is left out is as in the newest issue."""

    reason = Name()


class IssueShown(serializers.Serializer[Any]):
    """One issue of a target; bounds are numbers in ``unit``."""

    number = serializers.IntegerField()
    kind = serializers.ChoiceField(TargetKind.choices)
    limits = serializers.CharField(source="limits_text")
    low = serializers.SerializerMethodField()
    high = serializers.SerializerMethodField()
    nominal = serializers.SerializerMethodField()
    unit = serializers.CharField()
    rule = serializers.ChoiceField(Rule.choices)
    points = serializers.ListField(child=serializers.CharField(allow_blank=True))
    boards_needed = serializers.IntegerField()
    conditions = serializers.CharField()
    method = serializers.CharField()
    basis = serializers.ChoiceField(Basis.choices)
    basis_note = serializers.CharField()
    meant_for = serializers.CharField(source="meant_for.label", default=None, allow_null=True)
    calculation = serializers.CharField(source="calculation.key", default=None, allow_null=True)
    calculation_band = serializers.ChoiceField([("", "none"), *Method.choices])
    reason = serializers.CharField()
    changes_more_than_limits = serializers.BooleanField()
    issued_at = serializers.DateTimeField()

    def get_low(self, issue: TargetIssue) -> float | None:
        """Return the lower limit."""
        return float(issue.low) if issue.low else None

    def get_high(self, issue: TargetIssue) -> float | None:
        """Return the upper limit."""
        return float(issue.high) if issue.high else None

    def get_nominal(self, issue: TargetIssue) -> float | None:
        """Return the nominal value."""
        return float(issue.nominal) if issue.nominal else None


class TargetShown(serializers.Serializer[Any]):
    """A target: how it is planned, the issue in force, and all issues."""

    key = serializers.CharField()
    name = serializers.CharField()
    position = serializers.IntegerField()
    severity = serializers.ChoiceField(Severity.choices)
    harm = serializers.ChoiceField([("", "none"), *Harm.choices])
    minutes = serializers.IntegerField()
    waiting_minutes = serializers.IntegerField()
    probe_at = serializers.CharField()
    probe_against = serializers.CharField()
    stresses_board = serializers.BooleanField()
    needs_power = serializers.BooleanField()
    depends_on_firmware = serializers.BooleanField()
    cautions = serializers.CharField()
    note = serializers.CharField()
    subsystem = serializers.CharField()
    needs_option = serializers.CharField(allow_null=True)
    prerequisites = serializers.ListField(child=serializers.CharField())
    issue = IssueShown(allow_null=True)
    issues = IssueShown(many=True)


def shown(target: Target, in_force: TargetIssue | None) -> dict[str, Any]:
    """Return a target; ``issue`` is the one in force, null when none is meant for the revision."""
    issues = list(target.issues.all())
    current = next((one for one in issues if in_force is not None and one.pk == in_force.pk), None)
    return {
        **{name: getattr(target, name) for name in PLANNED},
        "subsystem": target.subsystem.key,
        "needs_option": target.needs_option.key if target.needs_option else None,
        "prerequisites": sorted(one.needs.key for one in target.prerequisites.all()),
        "issue": IssueShown(current).data if current else None,
        "issues": IssueShown(issues, many=True).data,
    }


def asked_of(project: Project, given: dict[str, Any], *, before: TargetIssue | None = None) -> Asked:
    """Take what is asked out of ``given``; what is missing is as in the issue ``before``."""
    values: dict[str, Any] = {}
    if before is not None:
        values = {name: getattr(before, name) for name in ASKED}
        values |= {"limits": before.limits_text, "unit": unit_asked(before), "meant_for": before.meant_for}
        values |= {"calculation": before.calculation, "calculation_band": before.calculation_band}
    if "limits" in given and "nominal" not in given:
        values.pop("nominal", None)
    if "meant_for" in given:
        label = given.pop("meant_for")
        values["meant_for"] = revision_named(project, label, field="meant_for") if label else None
    _take_calculation(project, given, values)
    values |= {name: given.pop(name) for name in (*ASKED, "limits") if name in given}
    if not isinstance(values.get("limits", ""), str):
        values["limits"] = values["limits"].text_in(values.get("unit", ""))
    return Asked(**values)


def _take_calculation(project: Project, given: dict[str, Any], values: dict[str, Any]) -> None:
    """Put the calculation into ``values``; naming one drops the limits of before, and new limits drop it."""
    if "calculation" in given or "calculation_band" in given:
        key = given.pop("calculation", None)
        kept = values.get("calculation") if key is None and "calculation_band" in given else None
        values["calculation"] = calculation_named(project, key) if key else kept
        values["calculation_band"] = given.pop("calculation_band", Method.EXTREME.value)
        if values["calculation"] is not None:
            for name in ("limits", "unit", "nominal"):
                values.pop(name, None)
    elif "limits" in given:
        values.pop("calculation", None)
        values.pop("calculation_band", None)
