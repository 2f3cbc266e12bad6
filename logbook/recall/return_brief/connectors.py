"""What is really on each connector, the boards that carry the same put together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from logbook.boards.models import Board
from logbook.boards.queries import BoardFacts, ConnectorTruth, connector_truths
from logbook.projects.models import Connector, Project
from logbook.projects.queries import connectors_of


@dataclass(frozen=True)
class SameOnBoards:
    """Boards that carry the same on a connector; ``first`` speaks for all of them."""

    first: ConnectorTruth
    boards: tuple[Board, ...]
    as_designed: str

    @property
    def carries(self) -> tuple[str, ...]:
        """Return the interface standards on it, or else the levels of its pins, each once."""
        pins = [one.pin for one in self.first.pins]
        says = [pin.standard for pin in pins if pin.standard] or [pin.level for pin in pins if pin.level]
        return tuple(dict.fromkeys(says))


@dataclass(frozen=True)
class ConnectorThen:
    """One connector, and what the boards have on it."""

    connector: Connector
    groups: tuple[SameOnBoards, ...]

    @property
    def agree(self) -> bool:
        """Say whether all boards carry the same."""
        return len(self.groups) <= 1


def connectors_then(
    project: Project,
    boards: Sequence[Board],
    facts: BoardFacts,
    lines: Mapping[int, tuple[int, ...]],
    until: datetime | None,
) -> tuple[ConnectorThen, ...]:
    """Return the connectors by key. Three queries."""
    connectors = list(connectors_of(project))
    for one in connectors:
        one.project = project
    truths = connector_truths(boards, connectors, at=until, facts=facts, lines=lines)
    return tuple(
        ConnectorThen(one, _groups([truth for truth in truths if truth.connector.pk == one.pk]))
        for one in connectors
    )


def _groups(truths: Sequence[ConnectorTruth]) -> tuple[SameOnBoards, ...]:
    """Put together what carries the same and is as sure; what is not as designed comes first."""
    found: dict[object, list[ConnectorTruth]] = {}
    for truth in truths:
        says = tuple(one.position for one in truth.options)
        found.setdefault((truth.carries, says, _as_designed(truth)), []).append(truth)
    groups = [
        SameOnBoards(same[0], tuple(one.board for one in same), _as_designed(same[0]))
        for same in found.values()
    ]
    return tuple(sorted(groups, key=lambda group: group.as_designed == "as designed"))


def _as_designed(truth: ConnectorTruth) -> str:
    if not truth.pins:
        return "no pins written down"
    if truth.is_as_designed:
        return "as designed"
    return "not as designed" if truth.is_known else "not looked at"
