"""Rows of the open-risk list that follow from the states of targets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from logbook.bench.models import Target
from logbook.bench.queries.calibration import CalibrationRecord, calibration_record
from logbook.core.graph import closure
from logbook.core.risk import Harm, Risk, Severity, Stakes, risks_of_targets
from logbook.planning.queries.standing import Standing
from logbook.planning.queries.trial_counts import TrialCounts, trial_counts
from logbook.planning.translate import CellResult


@dataclass(frozen=True)
class TargetRisks:
    """The rows of the targets of a revision, and what they were weighed with."""

    standing: Standing
    rows: tuple[Risk, ...]
    counts: TrialCounts
    hours: Mapping[Severity, float]
    needs: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def stakes_of(self, targets: Collection[Target]) -> Stakes:
        """Return the worst severity and harm of some targets; S3 without any."""
        severities = [Severity(target.severity) for target in targets]
        harms = [Harm(target.harm) for target in targets if target.harm]
        return Stakes(
            severity=min(severities, default=Severity.S3),
            harm=min(harms, key=lambda harm: harm.column, default=None),
            hours=self.hours,
        )

    def needed_by(self, keys: Collection[str]) -> int:
        """Return how many other targets need one of these, directly or not."""
        wanted = set(keys)
        return sum(key not in wanted and not wanted.isdisjoint(needed) for key, needed in self.needs.items())

    def in_subsystems(self, subsystem_ids: Collection[int]) -> list[Target]:
        """Return the targets of some subsystems."""
        return [one for one in self.standing.targets.values() if one.subsystem_id in subsystem_ids]


def target_risks_in(standing: Standing) -> TargetRisks:
    """Return the rows that follow from the states of targets, worst first. Two queries."""
    targets = standing.targets
    hours = dict(zip(Severity, standing.revision.project.hours, strict=True))
    counts = trial_counts(standing.revision, standing.until)
    needs = closure({one.key: one.prerequisites for one in standing.facts})
    rows = risks_of_targets(
        standing.states,
        standing.facts,
        {key: Severity(target.severity) for key, target in targets.items()},
        {key: Harm(target.harm) for key, target in targets.items() if target.harm},
        {key: counts.without(target) for key, target in targets.items()},
        fan_out=Counter(needed for reached in needs.values() for needed in reached),
        hours=hours,
        out_of_calibration=_out_of_calibration(standing),
    )
    return TargetRisks(standing, tuple(rows), counts, hours, needs)


def _out_of_calibration(standing: Standing) -> dict[str, list[tuple[str, date]]]:
    """Return for each target the instruments that were overdue at a reading that counts. One query."""
    used = {
        cell.designed.instrument_id
        for cells in standing.cells.values()
        for cell in cells
        if cell.designed and cell.designed.instrument_id
    }
    if not used:
        return {}
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
