"""The boards there were: where, in what state, what makes each differ, and what has happened to it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import OuterRef, Prefetch, Subquery, prefetch_related_objects

from logbook.bench.models import Measurement, ReworkRecheck
from logbook.bench.queries.reworks import counts
from logbook.boards.choices import BoardState
from logbook.boards.models import Board, BoardEvent, Rework
from logbook.boards.queries import BoardFacts, board_facts
from logbook.projects.models import Project
from logbook.projects.queries import position_in_words

# What a person must hear of a board whatever state it came to afterwards.
TROUBLE = frozenset({BoardState.LENT, BoardState.QUARANTINED, BoardState.DAMAGED, BoardState.SCRAPPED})


@dataclass(frozen=True)
class ReworkThen:
    """A rework in force on the day; half done while nobody has re-checked it."""

    rework: Rework
    is_half_done: bool


@dataclass(frozen=True)
class OptionThen:
    """An option of a board as it was found."""

    key: str
    position: str
    meaning: str
    is_as_designed: bool


@dataclass(frozen=True)
class BoardThen:
    """One board as it stood on the day, with its troubles, oldest first, and its firmware."""

    board: Board
    event: BoardEvent
    troubles: tuple[BoardEvent, ...]
    reworks: tuple[ReworkThen, ...]
    options: tuple[OptionThen, ...]
    last_read: datetime | None
    firmware: str
    firmware_at: datetime | None

    @property
    def state(self) -> str:
        """Return its state on the day."""
        return str(self.event.state)

    @property
    def is_at_hand(self) -> bool:
        """Say whether it may be worked on: not lent, damaged, quarantined or scrapped."""
        return self.state not in TROUBLE

    @property
    def off_design(self) -> tuple[OptionThen, ...]:
        """Return the options that are not as designed."""
        return tuple(one for one in self.options if not one.is_as_designed)


@dataclass(frozen=True)
class BoardsThen:
    """The boards of a project by serial, and what was read of all of them together."""

    boards: tuple[BoardThen, ...]
    facts: BoardFacts


def boards_then(project: Project, until: datetime | None) -> BoardsThen:
    """Return the boards of a project. Eight queries, whatever their number."""
    events = _events(project, until)
    readings = Measurement.objects.filter(board=OuterRef("pk"), withdrawn_at__isnull=True)
    if until is not None:
        readings = readings.filter(taken_at__lte=until)
    latest = readings.order_by("-taken_at")
    named = latest.exclude(firmware="")
    boards = list(
        Board.objects.filter(pk__in=list(events))
        .select_related("revision")
        .annotate(
            last_read=Subquery(latest.values("taken_at")[:1]),
            image=Subquery(named.values("firmware")[:1]),
            image_at=Subquery(named.values("taken_at")[:1]),
        )
        .order_by("serial")
    )
    for board in boards:
        board.project = board.revision.project = project
    facts = board_facts(boards, at=until)
    reworks, options = _reworks(facts, until), _options(facts)
    found = tuple(
        BoardThen(
            board=board,
            event=events[board.pk][-1],
            troubles=tuple(one for one in events[board.pk] if one.state in TROUBLE),
            reworks=tuple(reworks[board.pk]),
            options=tuple(options[board.pk]),
            last_read=board.last_read,
            firmware=board.image or "",
            firmware_at=board.image_at,
        )
        for board in boards
    )
    return BoardsThen(found, facts)


def _events(project: Project, until: datetime | None) -> Mapping[int, Sequence[BoardEvent]]:
    rows = BoardEvent.objects.filter(board__project=project)
    if until is not None:
        rows = rows.filter(at__lte=until)
    found: dict[int, list[BoardEvent]] = defaultdict(list)
    for row in rows.order_by("at", "id"):
        found[row.board_id].append(row)
    return found


def _reworks(facts: BoardFacts, until: datetime | None) -> Mapping[int, Sequence[ReworkThen]]:
    rechecks = Prefetch("rechecks", ReworkRecheck.objects.select_related("measurement"))
    prefetch_related_objects(list(facts.reworks), rechecks)
    found: dict[int, list[ReworkThen]] = defaultdict(list)
    for row in facts.reworks:
        checked = any(counts(one) for one in row.rechecks.all() if until is None or one.at <= until)
        found[row.board_id].append(ReworkThen(row, not checked))
    return found


def _options(facts: BoardFacts) -> Mapping[int, Sequence[OptionThen]]:
    found: dict[int, list[OptionThen]] = defaultdict(list)
    for run in sorted(facts.runs.values(), key=lambda run: run.found.option.key):
        position = run.found.position
        drawn = facts.designed.get((run.board.revision_id, run.found.option_id), position)
        found[run.board.pk].append(
            OptionThen(
                key=run.found.option.key,
                position=position_in_words(position),
                meaning=position.meaning if position else "",
                is_as_designed=drawn == position,
            )
        )
    return found
