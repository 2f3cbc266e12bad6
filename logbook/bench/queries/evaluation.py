"""What the history of one (target, board, point) amounts to.

The same rules serve the current results, a past day and ``manage.py verify``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import NamedTuple

from django.db.models import Exists, OuterRef, Q

from logbook.bench.models import FailingSpan, Measurement, Target
from logbook.bench.queries.calibration import CalibrationRecord, calibration_record
from logbook.bench.queries.needs import direct_needs, needs_of_few
from logbook.bench.queries.yardstick import Yardstick, yardstick_for
from logbook.boards.models import Board, OptionSetting, Rework
from logbook.boards.queries import BoardTimeline, Stretch, board_timelines
from logbook.common.prepared import Prepared, given, ids_given, listed
from logbook.core.graph import closure
from logbook.core.verdict import Verdict
from logbook.projects.models import Project
from logbook.projects.queries import lineages

FAILING = frozenset({Verdict.FAIL.value, Verdict.CONDITIONAL_FAIL.value})


# Of more targets than these, the needs of the whole project are read at once.
FEW = 8

# What the rules ask of a reading; anything else is loaded only where it is shown.
EVALUATED = (
    "board_id",
    "target_id",
    "issue_id",
    "instrument_id",
    "point",
    "outcome",
    "value",
    "unit",
    "trials",
    "expanded_uncertainty",
    "coverage_factor",
    "degrees_of_freedom",
    "verdict",
    "undecidable",
    "taken_at",
    "recorded_at",
)


class Cell(NamedTuple):
    """One (target, board, point)."""

    target_id: int
    board_id: int
    point: str


class Known(NamedTuple):
    """What the rules need to know of a target itself."""

    key: str
    subsystem_id: int


class Pair(NamedTuple):
    """One target on one board."""

    board_id: int
    target_id: int


class Judged(NamedTuple):
    """One standing reading as the rules see it now; in the order of a board's own time line."""

    taken_at: datetime
    recorded_at: datetime
    pk: int
    not_counted: str
    verdict: str
    undecidable: bool


class Settled(NamedTuple):
    """Which readings of a cell speak for it: as found, as designed, and the first with a verdict."""

    found: Judged
    designed: Judged | None
    first: Judged | None

    @property
    def readings(self) -> list[Judged]:
        """Return the readings, each once."""
        return list({one.pk: one for one in (self.first, self.designed, self.found) if one}.values())


def settled(judged: Iterable[Judged]) -> Settled | None:
    """Return what the standing readings of one cell amount to; none when there are none."""
    ordered = sorted(judged)
    if not ordered:
        return None
    counting = [one for one in ordered if not one.not_counted]
    return Settled(
        found=ordered[-1],
        designed=counting[-1] if counting else None,
        first=next((one for one in counting if one.verdict), None),
    )


@dataclass(frozen=True)
class Derived:
    """What a cell's readings amount to. ``None`` where there is no such reading."""

    found: Measurement
    found_verdict: str
    found_undecidable: bool
    not_counted: str
    designed: Measurement | None
    designed_verdict: str
    designed_undecidable: bool
    first: Measurement | None
    first_verdict: str


def taken_order(measurement: Measurement) -> tuple[datetime, datetime, int]:
    """Return the order of readings on a board's own time line."""
    return (measurement.taken_at, measurement.recorded_at, measurement.pk)


@dataclass
class Evaluation:
    """Everything the rules need to know about some boards of one project.

    What few readings need is loaded when it is asked for.
    """

    project: Project
    yardstick: Yardstick
    timelines: Mapping[int, BoardTimeline]
    revisions: Mapping[int, int]
    spans: dict[Pair, list[Stretch]]
    until: datetime | None = None
    few: tuple[int, ...] = ()

    @cached_property
    def targets(self) -> Mapping[int, Known]:
        """Return the targets of the project, by id. One query."""
        return {pk: Known(key, subsystem_id) for pk, key, subsystem_id in _TARGETS.rows(self.project.pk)}

    @cached_property
    def needs(self) -> Mapping[int, frozenset[int]]:
        """Return all that each target needs, directly or not. One query."""
        return closure(direct_needs(self.project, self.targets))

    def needs_of(self, target_id: int) -> frozenset[int]:
        """Return all that a target needs; of the ``few`` read, it is found without looking at the others."""
        if target_id in self.few and "needs" not in vars(self):
            return self._needs_of_few.get(target_id, frozenset())
        return self.needs.get(target_id, frozenset())

    @cached_property
    def _needs_of_few(self) -> Mapping[int, frozenset[int]]:
        return needs_of_few(self.few)

    @cached_property
    def _calibrations(self) -> CalibrationRecord:
        """Return the calibrations of all instruments; asked for only by a reading that names one."""
        return calibration_record(until=self.until.date() if self.until else None)

    def dependents_of(self, target_id: int) -> set[int]:
        """Return the targets that need this one, directly or not."""
        return self._dependents.get(target_id, set())

    @cached_property
    def _dependents(self) -> dict[int, set[int]]:
        dependents: dict[int, set[int]] = defaultdict(set)
        for target_id, needed in self.needs.items():
            for one in needed:
                dependents[one].add(target_id)
        return dict(dependents)

    def verdict_of(self, measurement: Measurement) -> tuple[str, bool]:
        """Return verdict word and undecidable flag under the issue in force for the board's revision."""
        return self.yardstick.judged(measurement, self.revisions[measurement.board_id])

    def is_asked(self, reading: Cell | Measurement) -> bool:
        """Say whether the target still has the point of a reading."""
        issue = self.yardstick.in_force(reading.target_id or 0, self.revisions[reading.board_id])
        return issue is None or reading.point in issue.points

    def judge(self, measurement: Measurement) -> Judged:
        """Return a reading as the rules see it now."""
        word, undecidable = self.verdict_of(measurement)
        why = self.not_counted(measurement)[:200]
        order = (measurement.taken_at, measurement.recorded_at, measurement.pk)
        return Judged(*order, why, word, undecidable)

    def judge_new(self, measurement: Measurement) -> Judged:
        """Return a reading, just judged by the issue in force, as the rules see it."""
        why = self._spoilt(measurement)[:200]
        order = (measurement.taken_at, measurement.recorded_at, measurement.pk)
        return Judged(*order, why, measurement.verdict, measurement.undecidable)

    def not_counted(self, measurement: Measurement) -> str:
        """Return why a reading does not count as designed; empty when it does."""
        outdated = self.yardstick.outdated_by(measurement, self.revisions[measurement.board_id])
        if outdated is not None:
            return f"issue {outdated.number} of the target changed more than its limits"
        return self._spoilt(measurement)

    def _spoilt(self, measurement: Measurement) -> str:
        """Return why a reading would not count under any issue; empty when it would."""
        target_id = measurement.target_id or 0
        if measurement.instrument_id is not None:
            flag = self._calibrations.flag(measurement.instrument_id, measurement.taken_at)
            if flag is not None and flag.state == "condemned":
                return flag.says
        return self._departure(measurement, target_id) or self._failing_prerequisite(measurement, target_id)

    def _departure(self, measurement: Measurement, target_id: int) -> str:
        timeline = self.timelines[measurement.board_id]
        if not timeline.departures:
            return ""
        return timeline.departure_at(self.targets[target_id].subsystem_id, measurement.taken_at)

    def _failing_prerequisite(self, measurement: Measurement, target_id: int) -> str:
        board_id, taken_at = measurement.board_id, measurement.taken_at
        if not self.spans:
            return ""
        failing = [
            self.targets[needed].key
            for needed in self.needs_of(target_id)
            # Almost nothing stood failing here, which is told without looking at any stretch.
            if (stretches := self.spans.get(Pair(board_id, needed)))
            and any(stretch.holds_at(taken_at) for stretch in stretches)
        ]
        return f"taken while {', '.join(sorted(failing)[:3])} failed here" if failing else ""

    def derive(self, readings: Iterable[Measurement]) -> Derived | None:
        """Return what the standing readings of one cell amount to; none when there are none."""
        by_id = {reading.pk: reading for reading in readings}
        result = settled(self.judge(reading) for reading in by_id.values())
        if result is None:
            return None
        found, designed, first = result
        return Derived(
            found=by_id[found.pk],
            found_verdict=found.verdict,
            found_undecidable=found.undecidable,
            not_counted=found.not_counted,
            designed=by_id[designed.pk] if designed else None,
            designed_verdict=designed.verdict if designed else "",
            designed_undecidable=designed.undecidable if designed else False,
            first=by_id[first.pk] if first else None,
            first_verdict=first.verdict if first else "",
        )

    def failing_stretches(
        self,
        readings: Iterable[Measurement],
        *,
        earlier: Sequence[Stretch] = (),
        failing: Iterable[str] = (),
    ) -> list[Stretch]:
        """Return the stretches during which one target stood failing on one board.

        ``readings`` are all standing readings of that pair, of all points; or those after ``earlier``
        stretches, at whose end the points ``failing`` stood failing. A point the target no longer has
        cannot be read again, so it holds nothing up.
        """
        stretches = list(earlier)
        failing_points = set(failing)
        begins = stretches.pop().begins if failing_points else None
        for reading in sorted(filter(self.is_asked, readings), key=taken_order):
            if self.verdict_of(reading)[0] in FAILING:
                failing_points.add(reading.point)
            else:
                failing_points.discard(reading.point)
            if failing_points and begins is None:
                begins = reading.taken_at
            elif not failing_points and begins is not None:
                stretches.append(Stretch(begins, reading.taken_at, ""))
                begins = None
        if begins is not None:
            stretches.append(Stretch(begins, None, ""))
        return merged(stretches)


def merged(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Join stretches that touch and drop those of no length."""
    joined: list[Stretch] = []
    for stretch in stretches:
        if stretch.ends == stretch.begins:
            continue
        if joined and joined[-1].ends == stretch.begins:
            joined[-1] = Stretch(joined[-1].begins, stretch.ends, "")
        else:
            joined.append(stretch)
    return joined


def evaluation_of(
    project: Project,
    board_ids: Iterable[int],
    *,
    target_ids: Iterable[int] | None = None,
    until: datetime | None = None,
) -> Evaluation:
    """Load what the rules need for some boards of a project. Eleven queries, whatever their number.

    With ``target_ids`` only their issues are loaded; ``yardstick.learn`` adds others later.
    """
    boards = sorted(set(board_ids))
    if target_ids is None:
        target_ids = Target.objects.filter(project=project).values_list("pk", flat=True)
    return Evaluation(
        project=project,
        yardstick=yardstick_for(target_ids, lineages(project), until),
        timelines=board_timelines(boards),
        revisions=dict(Board.objects.filter(pk__in=boards).values_list("pk", "revision_id")),
        spans=stored_spans(boards),
        until=until,
    )


def evaluation_of_new(
    project: Project, yardstick: Yardstick, revisions: Mapping[int, int], target_ids: Collection[int]
) -> Evaluation:
    """Load what the rules need for readings just judged by ``yardstick``. Two queries, or a few more.

    ``revisions`` are those of the boards read, ``target_ids`` the targets read. Boards that never departed
    from their drawing have no time line to be read.
    """
    boards = list(revisions)
    departed = [pk for (pk,) in _DEPARTED.rows(listed(boards))]
    return Evaluation(
        project=project,
        yardstick=yardstick,
        timelines=dict.fromkeys(boards, BoardTimeline()) | (board_timelines(departed) if departed else {}),
        revisions=revisions,
        spans=stored_spans(boards),
        few=tuple(target_ids) if len(target_ids) <= FEW else (),
    )


_TARGETS = Prepared(
    lambda: Target.objects.filter(project_id=given(0)).order_by().values_list("pk", "key", "subsystem_id")
)
_SPANS = Prepared(
    lambda: (
        FailingSpan.objects.filter(board_id__among=ids_given(0))
        .order_by("begins")
        .values_list("board_id", "target_id", "begins", "ends")
    )
)
_DEPARTED = Prepared(
    lambda: (
        Board.objects.filter(
            Exists(Rework.objects.filter(board_id=OuterRef("pk")))
            | Exists(OptionSetting.objects.filter(board_id=OuterRef("pk"))),
            pk__among=ids_given(0),
        )
        .order_by()
        .values_list("pk")
    )
)


def stored_spans(board_ids: Iterable[int]) -> dict[Pair, list[Stretch]]:
    """Return the kept failing spans of some boards. One query."""
    spans: dict[Pair, list[Stretch]] = defaultdict(list)
    for board_id, target_id, begins, ends in _SPANS.rows(listed(board_ids)):
        spans[Pair(board_id, target_id)].append(Stretch(begins, ends, ""))
    return dict(spans)


def standing_readings(where: Q) -> list[Measurement]:
    """Return the readings that stand, with what the rules need of them."""
    standing = Measurement.objects.filter(where, withdrawn_at__isnull=True, target__isnull=False)
    return list(standing.only(*EVALUATED))
