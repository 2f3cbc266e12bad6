"""The open-risk list of a revision."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, Q

from logbook.bench.models import Target, Trial
from logbook.bench.queries.calibration import CalibrationRecord, calibration_record
from logbook.core.risk import Harm, Risk, Severity, risks_of_targets
from logbook.planning.queries.coverage import Standing, standing_of
from logbook.planning.queries.days import entered_later
from logbook.planning.translate import CellResult
from logbook.projects.models import Revision


@dataclass(frozen=True)
class RiskRow:
    """One open risk with its target."""

    target: Target
    level: str
    kind: str
    reason: str
    probability: float
    probability_basis: str
    severity: str
    function_level: str
    harm: str
    harm_level: str
    fan_out: int
    closes: str
    weight: float


@dataclass(frozen=True)
class OpenRisks:
    """The open risks of a revision, worst first."""

    revision: Revision
    as_of: date | None
    entered_later: int
    rows: tuple[RiskRow, ...]


def open_risks_of(revision: Revision, *, as_of: date | None = None) -> OpenRisks:
    """Return the open risks of a revision, today or as they stood at the end of a day."""
    standing = standing_of(revision, as_of)
    later = entered_later(standing.line, standing.until) if standing.until else 0
    return OpenRisks(revision, as_of, later, risks_in(standing))


def risks_in(standing: Standing) -> tuple[RiskRow, ...]:
    """Return the open risks that follow from where a revision stands, worst first. Four queries."""
    targets, revision = standing.targets, standing.revision
    severities = tuple(Severity)
    risks = risks_of_targets(
        standing.states,
        standing.facts,
        {key: Severity(target.severity) for key, target in targets.items()},
        {key: Harm(target.harm) for key, target in targets.items() if target.harm},
        _base_rates(revision, targets, standing.until),
        hours=dict(zip(severities, revision.project.hours, strict=True)),
        out_of_calibration=_out_of_calibration(standing),
    )
    return tuple(_row(targets[risk.target], risk) for risk in risks)


def _row(target: Target, risk: Risk) -> RiskRow:
    return RiskRow(
        target=target,
        level=str(risk.level),
        kind=str(risk.kind),
        reason=risk.reason,
        probability=risk.probability,
        probability_basis=risk.probability_basis,
        severity=str(risk.severity),
        function_level=str(risk.function_level),
        harm=str(risk.harm or ""),
        harm_level=str(risk.harm_level or ""),
        fan_out=risk.fan_out,
        closes=risk.closes,
        weight=risk.weight,
    )


def _base_rates(
    revision: Revision, targets: Mapping[str, Target], until: datetime | None
) -> dict[str, tuple[int, int]]:
    """Return failures and trials of each target's kind of subsystem, the target itself left out.

    Counts of the project itself always count; those of others where both projects share counts. Two queries.
    """
    counted = Trial.objects.filter(target__project_id=revision.project_id)
    if revision.project.shares_counts:
        shared = Q(target__project__shares_counts=True)
        counted = Trial.objects.filter(Q(target__project_id=revision.project_id) | shared)
    if until is not None:
        counted = counted.filter(taken_at__lte=until)
    by_kind = counted.values_list("target__subsystem__kind").annotate(
        failures=Count("pk", filter=Q(failed=True)), trials=Count("pk")
    )
    kinds = {kind: (failures, trials) for kind, failures, trials in by_kind}
    own: dict[int, Counter[bool]] = defaultdict(Counter)
    for target_id, has_failed in counted.filter(target__project_id=revision.project_id).values_list(
        "target_id", "failed"
    ):
        own[target_id][has_failed] += 1
    rates = {}
    for key, target in targets.items():
        failures, trials = kinds.get(target.subsystem.kind, (0, 0))
        mine = own[target.pk]
        rates[key] = (failures - mine[True], trials - mine.total())
    return rates


def _out_of_calibration(standing: Standing) -> dict[str, list[tuple[str, date]]]:
    """Return for each target the instruments that were overdue at a reading that counts. One query."""
    used = {
        cell.designed.instrument_id
        for cells in standing.cells.values()
        for cell in cells
        if cell.designed and cell.designed.instrument_id
    }
    record = calibration_record(used, standing.until.date() if standing.until else None)
    found = {key: _overdue(record, cells) for key, cells in standing.cells.items()}
    return {key: overdue for key, overdue in found.items() if overdue}


def _overdue(record: CalibrationRecord, cells: Sequence[CellResult]) -> list[tuple[str, date]]:
    overdue: dict[str, date] = {}
    for cell in cells:
        if cell.designed is None:
            continue
        flag = record.flag(cell.designed.instrument_id, cell.designed.taken_at)
        if flag is not None and flag.state == "overdue":
            overdue[flag.instrument] = flag.due
    return sorted(overdue.items())
