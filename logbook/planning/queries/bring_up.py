"""The bring-up plan of a revision: what to do on its first board, stage by stage."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from logbook.bench.models import Target, TargetIssue
from logbook.bench.queries.from_templates import targets_by_template
from logbook.core.graph import dependency_order
from logbook.core.readiness import Cause, PlanTarget, Step, bring_up_stages
from logbook.core.state import State, StateOfTarget
from logbook.planning.queries.days import entered_later
from logbook.planning.queries.standing import Standing, standing_of
from logbook.planning.queries.stress import NOT_YET, has_board_to_spare, targets_to_test_first
from logbook.planning.queries.waived import states_with_waived
from logbook.projects.choices import SubsystemKind
from logbook.projects.models import Project, Revision
from logbook.projects.queries import changes_of, subsystem_needs, subsystems_of

# Common practice after any spin: unpowered checks, input, rails, reset, image, clock and noise floor.
ALWAYS_TEMPLATES = frozenset(
    {
        "U01", "U02", "U03", "U04", "U05", "U06", "U07", "U08", "U09", "P01", "P02", "P03",
        "R01", "R04", "R06", "B01", "G02", "C01", "A02", "D03",
    }
)  # fmt: skip
ALWAYS_POWER = frozenset({"S1", "S2"})


@dataclass(frozen=True)
class BringUpLine:
    """One target of the plan: its state on the revision, why it is here, and what touched it.

    ``not_yet`` says what must be there before the board is stressed; empty where nothing is missing.
    """

    target: Target
    issue: TargetIssue
    state: str
    reason: str
    cause: str
    changed_by: tuple[str, ...]
    needed_by: tuple[str, ...]
    minutes: int
    waiting_minutes: int
    always: bool
    not_yet: str


@dataclass(frozen=True)
class BringUpStage:
    """Lines that belong together, with their minutes and the letters of their cautions."""

    name: str
    lines: tuple[BringUpLine, ...]
    minutes: int
    waiting_minutes: int
    cautions: str


@dataclass(frozen=True)
class BringUpPlan:
    """The stages in the order to do them, for one board."""

    revision: Revision
    as_of: date | None
    entered_later: int
    stages: tuple[BringUpStage, ...]
    minutes: int
    waiting_minutes: int


def bring_up_plan_of(revision: Revision, *, as_of: date | None = None) -> BringUpPlan:
    """Return what to do on the first board of a revision.

    Where a revision stands, with accepted risks laid over; then some ten queries more, whatever the size.
    """
    standing = standing_of(revision, as_of)
    states = states_with_waived(standing)
    subsystems = _subsystems(revision.project)
    asked = tuple(_asked(standing, states, _always(standing)))
    lines = _Lines(standing, states, _touched_by(revision), _spared(standing))
    stages = tuple(
        BringUpStage(
            name=subsystems.get(one.name, one.name),
            lines=tuple(lines.of(step) for step in one.steps),
            minutes=one.minutes,
            waiting_minutes=one.waiting_minutes,
            cautions=lines.cautions(one.steps),
        )
        for one in bring_up_stages(asked, tuple(subsystems))
    )
    return BringUpPlan(
        revision=revision,
        as_of=as_of,
        entered_later=entered_later(standing.line, standing.until) if standing.until else 0,
        stages=stages,
        minutes=sum(one.minutes for one in stages),
        waiting_minutes=sum(one.waiting_minutes for one in stages),
    )


@dataclass(frozen=True)
class _Lines:
    standing: Standing
    states: Mapping[str, StateOfTarget]
    touched: Mapping[int, tuple[str, ...]]
    spared: frozenset[str]

    def of(self, step: Step) -> BringUpLine:
        """Return a step as a line of the plan."""
        key = step.target.key
        target, state = self.standing.targets[key], self.states[key]
        return BringUpLine(
            target=target,
            issue=self.standing.issues[key],
            state=str(state.state),
            reason=state.reason,
            cause=str(step.cause) if step.cause is not Cause.NEEDED else _needed(step.needed_by),
            changed_by=self.touched.get(target.subsystem_id, ()),
            needed_by=step.needed_by,
            minutes=step.target.minutes,
            waiting_minutes=step.target.waiting_minutes,
            always=step.target.always,
            not_yet=NOT_YET.format(self.standing.revision) if key in self.spared else "",
        )

    def cautions(self, steps: Iterable[Step]) -> str:
        """Return the letters of the cautions of some steps, each once."""
        letters = "".join(self.standing.targets[step.target.key].cautions for step in steps)
        return "".join(dict.fromkeys(letters))


def _spared(standing: Standing) -> frozenset[str]:
    """Return the targets that would stress the only board and that nobody decided to test first."""
    stressing = {key for key, target in standing.targets.items() if target.stresses_board}
    if not stressing or has_board_to_spare(standing.revision, standing.until):
        return frozenset()
    return frozenset(stressing - targets_to_test_first(standing.revision, standing.until))


def _needed(keys: tuple[str, ...]) -> str:
    more = f" and {len(keys) - 3} more" if len(keys) > 3 else ""
    return f"needed first by {', '.join(keys[:3])}{more}"


def _subsystems(project: Project) -> dict[str, str]:
    """Return key and name of the subsystems, each after what it depends on. Five queries."""
    named = {one.key: f"{one.key} {one.name}" for one in subsystems_of(project)}
    places = {key: place for place, key in enumerate(named)}
    needs = subsystem_needs(project)
    return {key: named[key] for key in dependency_order(needs, key=places.__getitem__)}


def _touched_by(revision: Revision) -> dict[int, tuple[str, ...]]:
    """Return the changes of the revision that touch each subsystem, by its id. Two queries."""
    touched: dict[int, tuple[str, ...]] = {}
    for change in changes_of(revision):
        for subsystem in change.subsystems.all():
            touched[subsystem.pk] = (*touched.get(subsystem.pk, ()), change.key)
    return touched


def _always(standing: Standing) -> frozenset[str]:
    """Return the targets that are read again on every new board. One query."""
    found = targets_by_template(standing.revision.project)
    of_templates = {one.key for key in ALWAYS_TEMPLATES for one in found.get(key, ())}
    return frozenset(
        key
        for key, target in standing.targets.items()
        if key in of_templates
        or not target.needs_power
        or (target.subsystem.kind == SubsystemKind.POWER and target.severity in ALWAYS_POWER)
    )


def _asked(
    standing: Standing, states: Mapping[str, StateOfTarget], always: frozenset[str]
) -> Iterable[PlanTarget]:
    """Yield the targets that apply, with the needs that apply too."""
    applies = {one.key for one in standing.facts if states[one.key].state != State.NOT_APPLICABLE}
    for one in standing.facts:
        if one.key not in applies:
            continue
        target = standing.targets[one.key]
        points = len(one.points)
        yield PlanTarget(
            key=one.key,
            subsystem=one.subsystem,
            state=_open_beneath(states[one.key]),
            needs=tuple(key for key in one.prerequisites if key in applies),
            minutes=target.minutes * points,
            waiting_minutes=target.waiting_minutes * points,
            needs_power=target.needs_power,
            stresses_board=target.stresses_board,
            always=one.key in always,
        )


def _open_beneath(state: StateOfTarget) -> State:
    """Return the state, or the ancestor's word it keeps: half a proof carried over is half a proof."""
    if state.state == State.CARRIED_OVER and state.inherited is not None:
        return state.inherited.state.state
    return state.state
