"""Boards whose label somebody may have meant who typed a code that leads nowhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from logbook.accounts.models import User
from logbook.boards.models import Board
from logbook.recall.labels.codes import LabelCode, Place, code_of, connectors_on, parts_of
from logbook.recall.search.tokens import main_key
from logbook.recall.search.typos import distance

# Compared one by one, so the newest only; all figures are a judgement.
MOST_COMPARED, MOST_SHOWN = 1_000, 5
MOST_SLIPS, CHARACTERS_A_SLIP = 2, 3
PARTS_OF_A_BOARD = 3
LONGEST = 60
NAMES = ("project", "serial", "revision", "connector")


@dataclass(frozen=True)
class Near:
    """A place whose code is like what was typed; ``differs`` says where, in words."""

    place: Place
    code: LabelCode
    differs: tuple[str, ...]


def codes_near(user: User, typed: str) -> list[Near]:
    """Return the places a person may see whose codes are likest to what was typed.

    Nothing of a project the person is no member of is looked at. At most two queries.
    """
    parts = parts_of(typed[:LONGEST])
    asked = {main_key("".join(parts)), main_key("".join(parts[:PARTS_OF_A_BOARD]))} - {""}
    boards = Board.objects.filter(project__memberships__user=user).select_related("project", "revision")
    slips = {board: _slips(asked, board) for board in boards.order_by("-pk")[:MOST_COMPARED]}
    most = min((MOST_SLIPS, *(len(one) // CHARACTERS_A_SLIP for one in asked)))
    fewest = min((*slips.values(), most))
    places = [Place(board, None) for board, count in slips.items() if count == fewest][:MOST_SHOWN]
    if len(parts) > PARTS_OF_A_BOARD and len(key := parts[PARTS_OF_A_BOARD]) > 1:
        of_connectors = {place.board.pk: place for place in connectors_on(places, key)}
        places = [of_connectors.get(place.board.pk, place) for place in places]
    return [_near(place, parts) for place in places]


def _slips(asked: set[str], board: Board) -> int:
    """Return in how many characters what was typed differs from a board's code, whole or begun."""
    return min((distance(one, other, MOST_SLIPS) for one in asked for other in _ways(board)), default=99)


def _ways(board: Board) -> Iterator[str]:
    """Return how a board's code may have been typed: whole, or without its end, or as the serial alone."""
    code = code_of(board)
    yield main_key("".join(code.parts) + code.check)
    yield main_key("".join(code.parts))
    yield main_key(code.project + code.serial)
    yield main_key(code.serial)


def _near(place: Place, parts: list[str]) -> Near:
    code = code_of(place.board, place.connector)
    pairs = zip(NAMES, code.parts, parts, strict=False)
    differs = [f"its {name} is {own}, not {typed}" for name, own, typed in pairs if own != typed]
    if len(parts) <= len(code.parts):
        differs.append(f"its check character is {code.check}")
    elif len(parts) == len(code.parts) + 1 and parts[-1] != code.check:
        differs.append(f"its check character is {code.check}, not {parts[-1]}")
    return Near(place, code, tuple(differs) if len(parts) >= PARTS_OF_A_BOARD else ())
