"""What a label says in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from logbook.boards.models import Board
from logbook.boards.queries import (
    STATE_WARNINGS,
    ConnectorTruth,
    connector_truths,
    differences_of,
    state_notes_of,
)
from logbook.boards.queries.connectors import OptionBearing
from logbook.projects.models import Connector
from logbook.recall.labels.codes import LabelCode, code_of


@dataclass(frozen=True)
class Label:
    """One label: its code, a heading, what to know, and the address of its QR code."""

    serial: str
    connector: str
    code: LabelCode
    heading: str
    facts: tuple[str, ...]
    foot: str
    address: str

    @property
    def says(self) -> str:
        """Return the whole label as a sentence or two, for who cannot see it."""
        return ". ".join((self.code.text, self.heading, *self.facts, self.foot))


def labels_of(
    boards: Sequence[Board], connectors: Sequence[Connector], *, site: str, on: date, own: bool = True
) -> list[Label]:
    """Return a label for each board, unless ``own`` is false, each followed by those of its connectors.

    ``site`` is the address of the site without a slash at its end, ``on`` the day that is printed.
    """
    differences, notes = differences_of(boards), state_notes_of(boards)
    truths = {(one.board.pk, one.connector.pk): one for one in connector_truths(boards, list(connectors))}
    labels = []
    for board in boards:
        if own:
            labels.append(_of_board(board, differences[board.pk], notes[board.pk], site, on))
        labels += [_of_connector(truths[board.pk, one.pk], site, on) for one in connectors]
    return labels


def _of_board(board: Board, differs: Sequence[str], note: str, site: str, on: date) -> Label:
    revision = board.revision
    facts = [*_warnings(board)]
    if revision.never_connect:
        facts.append(f"Never connect: {revision.never_connect}")
    if note and board.state in STATE_WARNINGS:
        facts.append(note)
    facts += differs or ["As drawn"]
    powered = [text for text in (revision.power_input, revision.polarity) if text]
    if revision.current_limit:
        powered.append(f"limit {revision.current_limit}")
    if powered:
        facts.append(f"Power: {', '.join(powered)}")
    heading = f"{board.project.name}, rev {revision.label}"
    return _label(board, None, heading, facts, site, on)


def _warnings(board: Board) -> list[str]:
    """Return what stands first on a label: where there is little room, the end is cut."""
    return [STATE_WARNINGS[board.state]] if board.state in STATE_WARNINGS else []


def _of_connector(truth: ConnectorTruth, site: str, on: date) -> Label:
    board, connector = truth.board, truth.connector
    facts = _warnings(board)
    facts += [line for one in truth.options for line in _bearing(one)] or ["No option decides its pins"]
    facts += [*truth.cautions, *truth.reworks]
    pins = [f"{one.pin.number} {one.pin.name} {one.pin.level}".strip() for one in truth.pins]
    if pins:
        facts.append(f"Pins: {', '.join(pins)}")
    heading = f"{connector.key} {connector.name}"
    return _label(board, connector, heading, facts, site, on)


def _bearing(option: OptionBearing) -> list[str]:
    """Return what an option makes of the connector, and in a line of its own where it stands."""
    meaning = option.position.meaning if option.position else ""
    stands = option.says.removesuffix(f": {meaning}") if meaning else option.says
    if not meaning:
        return [stands]
    return [meaning if option.is_known else f"By design: {meaning}", stands]


def _label(
    board: Board, connector: Connector | None, heading: str, facts: Sequence[str], site: str, on: date
) -> Label:
    code = code_of(board, connector)
    return Label(
        serial=board.serial,
        connector=connector.key if connector else "",
        code=code,
        heading=heading,
        facts=tuple(facts),
        foot=f"as of {on:%Y-%m-%d}",
        address=_in_capitals(site) + code.path,
    )


def _in_capitals(site: str) -> str:
    """Return the address of the site in capitals: scheme and host are the same so (RFC 3986, 6.2.2.1)."""
    return site.rstrip("/").upper()
