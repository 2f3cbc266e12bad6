"""The facts each row of the open-risk list would be decided on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from logbook.core.risk import fingerprint
from logbook.planning.queries.known import standing_at
from logbook.planning.queries.open_row import OpenRow
from logbook.planning.queries.standing import Standing
from logbook.planning.translate import CellResult
from logbook.projects.models import Change


@dataclass(frozen=True)
class Fingerprints:
    """What is needed to say the facts of any row of a revision."""

    standing: Standing
    changes: Mapping[str, tuple[str, ...]]

    def of(self, row: OpenRow) -> dict[str, str]:
        """Return the facts of a row: kind, level, issues, verdicts that count, changes, and the finding."""
        touching = {key for subsystem in row.subsystems for key in self.changes.get(subsystem, ())}
        touching |= {key for target in row.targets for key in self._changes_of(target)}
        return fingerprint(
            row.risk,
            issues={key: self.standing.issues[key].number for key in row.targets},
            readings=[reading for key in row.targets for reading in self._readings_of(key)],
            changes=touching,
            finding=row.finding,
        )

    def _changes_of(self, target: str) -> set[str]:
        """Return the changes that touch a target's subsystem here or made its older evidence stale."""
        subsystem = self.standing.targets[target].subsystem.key
        found = self.standing.states[target].inherited
        links = found.links if found else ()
        far = {f"{key} of {link.revision}" for link in links for key in link.changes}
        return far.union(self.changes.get(subsystem, ()))

    def _readings_of(self, target: str) -> Iterator[tuple[str, str, str, str]]:
        """Return the verdict of each cell that counts: here, or on the ancestor that decided."""
        cells = self.standing.cells.get(target, ())
        found = self.standing.states[target].inherited
        if found is not None:
            cells = self.standing.older[found.revision][target]
        yield from ((target, cell.board, cell.point, _word(cell)) for cell in _counting(cells))


def fingerprints_in(standing: Standing) -> Fingerprints:
    """Return the way to say the facts of rows. One query."""
    rows = standing_at(Change.objects.filter(revision=standing.revision), standing.until)
    changes: dict[str, tuple[str, ...]] = defaultdict(tuple)
    for subsystem, key in rows.filter(subsystems__isnull=False).values_list("subsystems__key", "key"):
        changes[subsystem] += (f"{key} of {standing.revision.label}",)
    return Fingerprints(standing, changes)


def _counting(cells: Iterable[CellResult]) -> Iterator[CellResult]:
    return (cell for cell in cells if cell.designed is not None)


def _word(cell: CellResult) -> str:
    return cell.designed_verdict or (cell.designed.outcome if cell.designed else "")
