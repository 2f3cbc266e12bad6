"""What is electrically on each connector of one board, given its options and reworks."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q
from django.utils import timezone

from logbook.boards.choices import ReworkIntent
from logbook.boards.models import Board, Rework
from logbook.boards.queries.option_table import SettingRun, setting_runs
from logbook.boards.queries.timelines import BoardTimeline, Stretch, stretch_of_rework, stretch_of_setting
from logbook.projects.models import Connector, ConnectorPin, DesignedPosition, Option, OptionPosition
from logbook.projects.queries import PinTables, lineages, pin_tables, pins_of, position_in_words


@dataclass(frozen=True)
class PinTruth:
    """What one pin carries on one board; ``because`` names the option that decides it, if one does."""

    pin: ConnectorPin
    because: str
    is_as_designed: bool


@dataclass(frozen=True)
class OptionBearing:
    """How an option that decides pins of a connector stands on the board."""

    option: Option
    position: OptionPosition | None
    since: datetime | None
    is_drawn: bool
    is_as_designed: bool

    @property
    def is_known(self) -> bool:
        """Say whether somebody looked; otherwise the designed position is taken."""
        return self.since is not None

    @property
    def says(self) -> str:
        """Return the position, since when, and what it does, in words."""
        if self.since is None and not self.is_drawn:
            return f"{self.option} neither drawn nor looked at on this board"
        where = position_in_words(self.position)
        at = where if self.position is None else f"at {where}"
        meaning = f": {self.position.meaning}" if self.position and self.position.meaning else ""
        if self.since is None:
            return f"{self.option} {at} by design, not looked at on this board{meaning}"
        off = "" if self.is_as_designed else ", not as designed"
        return f"{self.option} {at} since {timezone.localtime(self.since):%Y-%m-%d}{off}{meaning}"


@dataclass(frozen=True)
class ConnectorTruth:
    """What is on a connector of one board, why, and what misleads."""

    board: Board
    connector: Connector
    tables: PinTables
    pins: Sequence[PinTruth]
    options: Sequence[OptionBearing]
    reworks: Sequence[str]
    warnings: Sequence[str]

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return where the look misleads, and what is uncertain on this board."""
        return (*([self.connector.caution] if self.connector.caution else []), *self.warnings)

    @property
    def is_known(self) -> bool:
        """Say whether somebody looked at every option that decides its pins."""
        return all(one.is_known for one in self.options)

    @property
    def is_as_designed(self) -> bool:
        """Say whether every option that decides its pins was seen at its designed position."""
        return self.is_known and all(one.is_as_designed for one in self.options)

    @property
    def carries(self) -> tuple[tuple[str, str, str, str], ...]:
        """Return what the pins carry, for comparing boards."""
        return tuple((one.pin.number, one.pin.name, one.pin.level, one.pin.standard) for one in self.pins)


@dataclass(frozen=True)
class BoardFacts:
    """How the options of some boards stand, drawn and found, and the reworks in force, oldest first."""

    designed: Mapping[tuple[int, int], OptionPosition | None]
    runs: Mapping[tuple[int, int], SettingRun]
    reworks: Sequence[Rework]


@dataclass(frozen=True)
class _Known:
    """What was read once for all boards and connectors."""

    pins: Sequence[ConnectorPin]
    lines: Mapping[int, tuple[int, ...]]
    options: Mapping[int, Option]
    designed: Mapping[tuple[int, int], OptionPosition | None]
    runs: Mapping[tuple[int, int], SettingRun]
    reworks: Sequence[Rework]


def connector_truths(
    boards: Sequence[Board],
    connectors: Sequence[Connector],
    *,
    at: datetime | None = None,
    facts: BoardFacts | None = None,
    lines: Mapping[int, tuple[int, ...]] | None = None,
) -> list[ConnectorTruth]:
    """Return what is on each connector of each board, now or at a moment, by board. Seven queries.

    What a pin means is always read from the table in force today; options and reworks are those of the
    moment. ``facts`` of that moment and ``lines`` of the revisions save six queries where they are at hand.
    """
    if not boards or not connectors:
        return []
    project = connectors[0].project
    found = facts or board_facts(boards, at=at)
    pins = list(pins_of(connectors))
    known = _Known(
        pins=pins,
        lines=lines or lineages(project),
        options={pin.position.option_id: pin.position.option for pin in pins if pin.position},
        designed=found.designed,
        runs=found.runs,
        reworks=found.reworks,
    )
    return [_truth(board, connector, known) for board in boards for connector in connectors]


def board_facts(boards: Sequence[Board], *, at: datetime | None = None) -> BoardFacts:
    """Return how some boards stand, now or at a moment. Five queries."""
    revisions = {board.revision_id for board in boards}
    designed = DesignedPosition.objects.filter(revision_id__in=revisions).select_related("position")
    reworks = Rework.objects.filter(board__in=boards).prefetch_related("subsystems", "paths")
    if at is None:
        reworks = reworks.filter(in_force_until__isnull=True)
    else:
        reworks = reworks.filter(Q(in_force_until__isnull=True) | Q(in_force_until__gt=at))
        reworks = reworks.filter(in_force_from__lte=at)
    return BoardFacts(
        designed={(row.revision_id, row.option_id): row.position for row in designed},
        runs=setting_runs(boards, at=at),
        reworks=list(reworks.order_by("in_force_from", "id")),
    )


def timelines_now(boards: Sequence[Board], facts: BoardFacts) -> dict[int, BoardTimeline]:
    """Return what of each board is not as designed now, from what was read of it. No query."""
    departures: dict[int, dict[int, list[Stretch]]] = {board.pk: defaultdict(list) for board in boards}
    for rework in facts.reworks:
        if rework.board_id in departures and rework.intent != ReworkIntent.TO_DRAWING:
            for subsystem in rework.subsystems.all():
                departures[rework.board_id][subsystem.pk].append(stretch_of_rework(rework))
    for (board_id, option_id), run in facts.runs.items():
        drawn = facts.designed.get((run.board.revision_id, option_id), run.found.position)
        if board_id in departures and drawn != run.found.position:
            departures[board_id][run.found.option.subsystem_id].append(stretch_of_setting(run.found))
    return {pk: BoardTimeline(dict(found)) for pk, found in departures.items()}


def _truth(board: Board, connector: Connector, known: _Known) -> ConnectorTruth:
    tables = pin_tables(known.pins, known.lines[board.revision_id]).get(connector.pk, PinTables())
    bearings = [_bearing(board, known.options[pk], known) for pk in sorted(tables.options)]
    pins, clashes = _pins(tables, bearings)
    reworks = [rework for rework in known.reworks if rework.board_id == board.pk]
    unseen = [one.option.key for one in bearings if not one.is_known]
    if unseen:
        clashes.append(f"nobody looked at {', '.join(unseen)} on {board}: measure before you plug in")
    named = tuple(_named(connector, reworks))
    return ConnectorTruth(board, connector, tables, pins, bearings, named, tuple(clashes))


def _bearing(board: Board, option: Option, known: _Known) -> OptionBearing:
    designed = known.designed.get((board.revision_id, option.pk))
    is_drawn = (board.revision_id, option.pk) in known.designed
    run = known.runs.get((board.pk, option.pk))
    if run is None:
        return OptionBearing(option, designed, None, is_drawn, is_as_designed=True)
    as_designed = not is_drawn or run.found.position == designed
    return OptionBearing(option, run.found.position, run.since, is_drawn, as_designed)


def _pins(tables: PinTables, bearings: Sequence[OptionBearing]) -> tuple[list[PinTruth], list[str]]:
    """Lay the tables of the positions over the one that always holds; name pins that two options decide."""
    found = {pin.number: PinTruth(pin, "", is_as_designed=True) for pin in tables.always}
    clashes = []
    for bearing in bearings:
        for pin in tables.by_position.get(bearing.position.pk if bearing.position else 0, ()):
            held = found.get(pin.number)
            if held and held.because:
                clashes.append(f"pin {pin.number} is decided by {held.because} and by {bearing.option} alike")
            because = f"{bearing.option} {position_in_words(bearing.position)}"
            found[pin.number] = PinTruth(pin, because, bearing.is_as_designed)
    return sorted(found.values(), key=lambda one: _natural(one.pin.number)), clashes


def _natural(number: str) -> tuple[list[tuple[bool, int, str]], str]:
    """Order pins as people count them: A2 before A10."""
    parts = re.findall(r"\d+|\D+", number)
    return [(part.isdecimal(), int(part) if part.isdecimal() else 0, part) for part in parts], number


def _named(connector: Connector, reworks: Iterable[Rework]) -> Iterable[str]:
    """Say which reworks in force bear on a connector: by its name in them, or by its subsystem."""
    its_name = re.compile(rf"(?<![A-Za-z0-9]){re.escape(connector.key)}(?![A-Za-z0-9])")
    for rework in reworks:
        done = " ".join([rework.what, rework.reason, *(str(path) for path in rework.paths.all())])
        if its_name.search(done):
            yield f"{rework.key} ({rework.intent}) names {connector}: {rework.what}"
        elif connector.subsystem_id in {subsystem.pk for subsystem in rework.subsystems.all()}:
            touched = f"{rework.key} ({rework.intent}) touches {connector.subsystem}"
            yield f"{touched}, which {connector} belongs to: {rework.what}"
