"""Readings taken on reworks that a later revision made part of its drawing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from logbook.bench.models import Target
from logbook.boards.models import ReworkFoldedIn
from logbook.boards.queries import BoardTimeline, board_timelines
from logbook.core.state import Reworked
from logbook.planning.translate import CellResult, evidence_of


@dataclass(frozen=True)
class FoldedReworks:
    """The reworks folded in along a line, and the time lines of their boards by serial.

    ``names`` gives what a reading of a board says of itself under the rework.
    """

    names: Mapping[tuple[str, str], str]
    timelines: Mapping[str, BoardTimeline]

    def __bool__(self) -> bool:
        return bool(self.names)

    def readings(self, target: Target, cells: Sequence[CellResult]) -> tuple[Reworked, ...]:
        """Return the latest readings of a target whose only departure were folded-in reworks."""
        found: dict[tuple[str, ...], list[CellResult]] = defaultdict(list)
        for cell in cells:
            names = self._reworks_behind(target, cell)
            if names:
                found[names].append(
                    cell._replace(
                        designed=cell.found,
                        designed_verdict=cell.found_verdict,
                        designed_undecidable=cell.found_undecidable,
                    )
                )
        return tuple(Reworked(names, tuple(evidence_of(rows))) for names, rows in found.items())

    def _reworks_behind(self, target: Target, cell: CellResult) -> tuple[str, ...]:
        """Return the folded-in reworks behind the latest reading; none where anything else stood out."""
        if (cell.board, cell.not_counted) not in self.names:
            return ()
        departures = self.timelines[cell.board].departures.get(target.subsystem_id, ())
        says = [one.says for one in departures if one.holds_at(cell.found.taken_at)]
        if any((cell.board, one) not in self.names for one in says):
            return ()
        return tuple(sorted(self.names[cell.board, one] for one in says))


def folded_reworks(folded: Iterable[ReworkFoldedIn]) -> FoldedReworks:
    """Return the reworks that were folded in, each read with its board. Two queries, none without any."""
    reworks = [one.rework for one in folded]
    if not reworks:
        return FoldedReworks({}, {})
    serials = {rework.board_id: rework.board.serial for rework in reworks}
    timelines = board_timelines(serials)
    return FoldedReworks(
        {
            (serials[rework.board_id], f"{rework.key} ({rework.intent}) in force"): (
                f"{rework.key} of {serials[rework.board_id]}"
            )
            for rework in reworks
        },
        {serials[pk]: timeline for pk, timeline in timelines.items()},
    )
