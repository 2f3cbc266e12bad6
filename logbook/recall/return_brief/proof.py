"""What was proved on how many boards, what only worked at a glance, and what was never verified."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from logbook.bench.models import CurrentResult, Target
from logbook.core.risk import Decision
from logbook.core.state import State, StateOfTarget, waived
from logbook.planning.queries import RiskRow
from logbook.planning.queries.results import PastResults
from logbook.planning.queries.standing import Standing
from logbook.planning.queries.waived import SETTLED
from logbook.projects.models import Subsystem

TWO_OR_MORE = "on 2 or more boards"
ON_ONE = "on 1 board"
NEVER = "never tried"
# In the order a returning designer asks. Blocked was never tried either: something it needs kept it from it.
COLUMNS = (
    TWO_OR_MORE, ON_ONE, "carried over", "waived", "partly verified", "marginal", "failing", "seen working",
    "stale", NEVER,
)  # fmt: skip


@dataclass(frozen=True)
class Unproved:
    """One target with the word and the reason of its state on the revision the brief is about."""

    target: Target
    state: str
    reason: str


@dataclass(frozen=True)
class HeatRow:
    """One subsystem: how many of its targets stand in each column, by the name of the column."""

    subsystem: Subsystem
    counts: Mapping[str, int]

    @property
    def cells(self) -> tuple[tuple[str, int], ...]:
        """Return the columns with their counts, in order."""
        return tuple(self.counts.items())


@dataclass(frozen=True)
class Proof:
    """What is proved on a revision, and what was never verified on any."""

    columns: tuple[str, ...]
    heat: tuple[HeatRow, ...]
    never_verified: tuple[Unproved, ...]
    seen_working: tuple[Unproved, ...]
    failing: tuple[Unproved, ...]
    near_limit: tuple[Unproved, ...]
    stale: tuple[Unproved, ...]
    on_one_board: tuple[Target, ...]


def proof_of(standing: Standing, risks: Sequence[RiskRow], past: PastResults | None) -> Proof:
    """Return the proof there is on a revision; ``past`` are the results of all on a past day. One query."""
    states = _states(standing, risks)
    asked = {key: row for key, row in states.items() if row.state != State.NOT_APPLICABLE}
    judged = _judged(standing, past)
    heat = _heat(standing, asked)
    shown = tuple(name for name in COLUMNS if any(row.counts[name] for row in heat))

    def those(*words: State) -> tuple[Unproved, ...]:
        return tuple(
            Unproved(standing.targets[key], str(row.state), row.reason)
            for key, row in asked.items()
            if row.state in words
        )

    every = those(*State)
    return Proof(
        columns=shown,
        heat=tuple(replace(row, counts={name: row.counts[name] for name in shown}) for row in heat),
        never_verified=tuple(one for one in every if one.target.pk not in judged),
        seen_working=those(State.SEEN_WORKING),
        failing=those(State.FAILING),
        near_limit=those(State.MARGINAL),
        stale=those(State.STALE),
        on_one_board=tuple(standing.targets[key] for key, row in asked.items() if _column(row) == ON_ONE),
    )


def _states(standing: Standing, risks: Sequence[RiskRow]) -> Mapping[str, StateOfTarget]:
    """Lay acceptances that hold over the states."""
    states = dict(standing.states)
    for row in risks:
        held = row.disposition
        if held is None or not held.is_valid or held.record.decision != Decision.ACCEPT:
            continue
        for key in row.targets:
            if not row.matter.about_instruments and states[key].state not in SETTLED:
                states[key] = waived(standing.states[key], held.says)
    return states


def _judged(standing: Standing, past: PastResults | None) -> set[int]:
    """Return the targets a reading ever spoke for as designed, with a verdict, on any revision."""
    if past is not None:
        return {row.target_id for row in past.results if row.designed_verdict}
    rows = CurrentResult.objects.filter(project=standing.revision.project).exclude(designed_verdict="")
    return {pk for pk in rows.order_by().values_list("target_id", flat=True).distinct() if pk is not None}


def _column(row: StateOfTarget) -> str:
    if row.state in (State.VERIFIED, State.PARTLY_VERIFIED) and row.passing_boards:
        return TWO_OR_MORE if row.passing_boards > 1 else ON_ONE
    return NEVER if row.state == State.BLOCKED else str(row.state)


def _heat(standing: Standing, states: Mapping[str, StateOfTarget]) -> tuple[HeatRow, ...]:
    found: dict[int, Counter[str]] = defaultdict(Counter)
    subsystems: dict[int, Subsystem] = {}
    for key, row in states.items():
        subsystem = standing.targets[key].subsystem
        subsystems[subsystem.pk] = subsystem
        found[subsystem.pk][_column(row)] += 1
    return tuple(
        HeatRow(subsystem, found[pk])
        for pk, subsystem in sorted(subsystems.items(), key=lambda one: (one[1].position, one[1].key))
    )
