"""The way from a state back to the readings it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from logbook.core.state import State, StateOfTarget
from logbook.planning.translate import CellResult, ShownReading


@dataclass(frozen=True)
class PathReading:
    """One reading at the end of the way; ``measurement`` is its number."""

    measurement: int
    board: str
    point: str
    text: str
    verdict: str


@dataclass(frozen=True)
class PathStep:
    """One revision on the way: its state, and what its changes left of the next one's evidence.

    ``state`` is empty where no reading counts; ``way`` leads from the target's subsystem to the touched
    one. The last step has a weight of 1 and the readings.
    """

    revision: str
    state: str
    weight: float
    changes: tuple[str, ...]
    way: tuple[str, ...]
    readings: tuple[PathReading, ...]


def path_of(
    revision: str, state: StateOfTarget, older: Mapping[str, Mapping[str, Sequence[CellResult]]]
) -> tuple[PathStep, ...]:
    """Return the steps from a revision to the ancestor whose readings decided; none without inheritance."""
    found = state.inherited
    if found is None:
        return ()
    steps = [
        PathStep(
            revision=link.revision,
            state=str(state.state) if link.revision == revision else "",
            weight=link.weight,
            changes=link.changes,
            way=link.way,
            readings=(),
        )
        for link in found.links
    ]
    cells = older[found.revision][state.target]
    readings = _readings(cells, counting=not found.reworks and found.state.state != State.STALE)
    return (*steps, PathStep(found.revision, str(found.state.state), 1.0, (), (), readings))


def own_step(revision: str, state: StateOfTarget, cells: Sequence[CellResult]) -> PathStep:
    """Return the one step of a state that rests on readings of the revision itself, or on none."""
    return PathStep(revision, str(state.state), 1.0, (), (), _readings(cells, counting=True))


def _readings(cells: Iterable[CellResult], *, counting: bool) -> tuple[PathReading, ...]:
    """Return the readings that count as designed, or the latest ones where those are what decided."""
    shown = []
    for cell in cells:
        reading = cell.designed if counting else cell.found
        if reading is not None and (counting or cell.not_counted):
            verdict = cell.designed_verdict if counting else cell.found_verdict
            shown.append(PathReading(reading.id, cell.board, cell.point, _said(reading), verdict))
    return tuple(shown)


def _said(reading: ShownReading) -> str:
    return f"{reading.value} {reading.unit}".strip() if reading.value and reading.unit else reading.text
