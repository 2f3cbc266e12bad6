"""What the boards of each revision say of one target: small samples, point by point, as designed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from logbook.bench.choices import Outcome, TargetKind
from logbook.bench.models import CurrentResult, Measurement, Target, TargetIssue
from logbook.bench.queries.yardstick import yardstick_for
from logbook.bench.translate import limits_of
from logbook.core.limits import Limits
from logbook.core.quantities import Unit, convert, unit_named
from logbook.core.samples import (
    AttributeBounds,
    Capability,
    Predictive,
    Sample,
    attribute_bounds,
    capability,
    describe_sample,
    predictive_out_of_limits,
    tolerance_interval,
)
from logbook.core.verdict import Verdict
from logbook.projects.queries import lineages

CONTENT = 0.95
CONFIDENCE = 0.95
FAILING = frozenset(verdict.value for verdict in Verdict if verdict.is_failing)


@dataclass(frozen=True)
class BoardReading:
    """The reading of one board that counts as designed; numbers in the unit of the sample."""

    board: str
    measurement_id: int
    verdict: str
    value: float | None
    uncertainty: float | None


@dataclass(frozen=True)
class Share:
    """How many of some trials failed, and the bounds of the true share (Clopper and Pearson).

    Without a failure the upper bound is one-sided, as zero errors are stated.
    """

    failures: int
    trials: int
    bounds: AttributeBounds
    is_one_sided: bool


@dataclass(frozen=True)
class PointSample:
    """One reading a board of a revision at a point, and what they say; None is what they cannot say.

    ``boards`` is the share of boards that failed, ``errors`` that of counted trials, all boards together.
    """

    revision: str
    point: str
    issue: TargetIssue
    limits: Limits | None
    unit: Unit
    readings: tuple[BoardReading, ...]
    sample: Sample | None
    tolerance: tuple[float, float] | None
    capability: Capability | None
    predictive: Predictive | None
    boards: Share | None
    errors: Share | None

    @property
    def is_number(self) -> bool:
        """Say whether the target asks for a number here."""
        return self.issue.kind == TargetKind.NUMBER

    @property
    def bounds(self) -> tuple[float | None, float | None]:
        """Return the limits as numbers."""
        return _bounds(self.limits)


def samples_of(target: Target) -> tuple[PointSample, ...]:
    """Return the samples of a target by revision and point, oldest revision first. Three queries.

    Of each board the current reading as designed counts; the limits are those in force for its revision.
    """
    yardstick = yardstick_for([target.pk], lineages(target.project))
    found: dict[tuple[int, str], list[CurrentResult]] = defaultdict(list)
    rows = CurrentResult.objects.filter(target=target, designed__isnull=False)
    for row in rows.select_related("board", "revision", "designed").order_by(
        "revision_id", "board__serial", "point"
    ):
        found[row.revision_id, row.point].append(row)
    samples = []
    for (revision_id, point), results in found.items():
        issue = yardstick.in_force(target.pk, revision_id)
        if issue is not None and point in issue.points:
            samples.append((revision_id, issue.points.index(point), _sample(issue, point, results)))
    samples.sort(key=lambda one: one[:2])
    return tuple(sample for _, _, sample in samples)


def _sample(issue: TargetIssue, point: str, results: list[CurrentResult]) -> PointSample:
    limits, unit = limits_of(issue), unit_named(issue.unit)
    readings = tuple(_reading(row, unit) for row in results)
    numbers = [one for one in readings if one.value is not None] if issue.kind == TargetKind.NUMBER else []
    values = [one.value for one in numbers if one.value is not None]
    low, high = _bounds(limits)
    is_limited = bool(values) and limits is not None
    return PointSample(
        revision=results[0].revision.label,
        point=point,
        issue=issue,
        limits=limits,
        unit=unit,
        readings=readings,
        sample=describe_sample(values) if values else None,
        tolerance=_tolerance(values),
        capability=capability(values, low, high, confidence=CONFIDENCE) if is_limited else None,
        predictive=_predictive(numbers, limits),
        boards=_share_of_boards(readings),
        errors=_share_of_trials(limits, [row.designed for row in results if row.designed]),
    )


def _reading(row: CurrentResult, unit: Unit) -> BoardReading:
    reading = row.designed
    assert reading is not None  # noqa: S101 - the query asks for results that count only
    own = unit_named(reading.unit)
    is_comparable = reading.outcome == Outcome.NUMBER and reading.value and own.base == unit.base
    uncertainty = reading.uncertainty_base
    return BoardReading(
        board=row.board.serial,
        measurement_id=reading.pk,
        verdict=row.designed_verdict,
        value=float(convert(Decimal(reading.value), own, unit)) if is_comparable else None,
        uncertainty=None if uncertainty is None else uncertainty / float(unit.factor),
    )


def _bounds(limits: Limits | None) -> tuple[float | None, float | None]:
    if limits is None or limits.kind != "number":
        return None, None
    low, high = limits.low, limits.high
    return (None if low is None else float(low), None if high is None else float(high))


def _tolerance(values: list[float]) -> tuple[float, float] | None:
    low, high = (values and tolerance_interval(values, CONTENT, CONFIDENCE)) or (None, None)
    return None if low is None or high is None else (low, high)


def _predictive(readings: list[BoardReading], limits: Limits | None) -> Predictive | None:
    if limits is None or not readings:
        return None
    return predictive_out_of_limits(
        [one.value for one in readings if one.value is not None],
        [one.uncertainty for one in readings],
        *_bounds(limits),
        nominal=None if limits.nominal is None else float(limits.nominal),
        logarithmic=limits.unit.logarithmic,
    )


def _share_of_boards(readings: Iterable[BoardReading]) -> Share | None:
    judged = [one.verdict for one in readings if one.verdict]
    return _share(sum(word in FAILING for word in judged), len(judged))


def _share_of_trials(limits: Limits | None, readings: Iterable[Measurement]) -> Share | None:
    """Return the errors in all trials that were counted together; none where no trials were stated."""
    if limits is None or limits.kind != "count":
        return None
    counts_successes = limits.trials is not None and limits.low is not None
    if limits.trials is None and limits.high is None:
        return None
    failures = trials = 0
    for one in readings:
        if one.outcome == Outcome.COUNT and one.trials:
            count = int(Decimal(one.value))
            failures += one.trials - count if counts_successes else count
            trials += one.trials
    return _share(failures, trials)


def _share(failures: int, trials: int) -> Share | None:
    if trials == 0:
        return None
    is_one_sided = failures == 0
    bounds = attribute_bounds(failures, trials, CONFIDENCE, "upper" if is_one_sided else "two")
    return Share(failures, trials, bounds, is_one_sided)
