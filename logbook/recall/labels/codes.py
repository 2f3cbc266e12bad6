"""The short code on a label, the address in its QR code, and what both lead to.

A code is derived from what is written on the board anyway: the project's code, the serial and the revision,
and from the key of a connector. So it needs no table, means something without the site, and is the same
again after the data went through an export.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.db.models import Q

from logbook.accounts.models import User
from logbook.boards.models import Board
from logbook.common.errors import NotFoundError
from logbook.core.check_character import check_character
from logbook.core.errors import CodeError
from logbook.projects.models import Connector, Project

# A code of a project that can be typed and addressed.
WORD = re.compile(r"[A-Za-z0-9][A-Za-z0-9._+-]*\Z")
BETWEEN = re.compile(r"[\s·/]+")
FEWEST_PARTS, MOST_PARTS = 3, 5
HOW = "project, serial, revision, for a connector its key, then the check character: SLK 0006 C A"


@dataclass(frozen=True)
class LabelCode:
    """What a label is about, in capital letters; ``connector`` is empty on the label of a board."""

    project: str
    serial: str
    revision: str
    connector: str = ""

    @property
    def parts(self) -> tuple[str, ...]:
        """Return what is checked, in the order it is printed."""
        return (self.project, self.serial, self.revision, *([self.connector] if self.connector else []))

    @property
    def check(self) -> str:
        """Return the check character."""
        return check_character("".join(self.parts))

    @property
    def text(self) -> str:
        """Return the code as printed: ``SLK 0006 C · 3``."""
        return f"{' '.join(self.parts)} · {self.check}"

    @property
    def path(self) -> str:
        """Return the path of the QR code; capital letters alone make the QR code smaller."""
        return f"/B/{'/'.join(self.parts)}/{self.check}"


@dataclass(frozen=True)
class Place:
    """The board, or the connector of a board, a code leads to."""

    board: Board
    connector: Connector | None


def code_of(board: Board, connector: Connector | None = None) -> LabelCode:
    """Return the code of a board or of one of its connectors; project and revision are read."""
    key = connector.key.upper() if connector else ""
    return LabelCode(_word_of(board.project), board.serial.upper(), board.revision.label.upper(), key)


def _word_of(project: Project) -> str:
    """Return the code of a project where it has a fit one, else its slug."""
    word = project.code if WORD.match(project.code) else project.slug
    return word.upper()


def read_code(typed: str) -> LabelCode:
    """Return the code somebody typed or scanned, in small or capital letters.

    Raises
    ------
    NotFoundError
        When parts are missing, or the check character is missing or says that something was mistyped.
    """
    parts = parts_of(typed)
    given = f"the code {typed.strip()[:80]!r}"
    if not FEWEST_PARTS <= len(parts) <= MOST_PARTS:
        message = f"{given} has {len(parts)} part{'' if len(parts) == 1 else 's'}; a code is {HOW}"
        raise NotFoundError(message)
    is_complete = len(parts) > FEWEST_PARTS and len(parts[-1]) == 1
    code = LabelCode(*(parts[:-1] if is_complete else parts[: MOST_PARTS - 1]))
    check = _check_of(code)
    if not check:
        message = f"{given} holds no letter or digit that a label can carry; a code is {HOW}"
        raise NotFoundError(message)
    if not is_complete:
        said = f"ends in {parts[-1]} instead of" if len(parts) == MOST_PARTS else "lacks"
        message = f"{given} {said} its check character: after {' '.join(code.parts)} comes {check}"
        raise NotFoundError(message)
    if parts[-1] != check:
        message = f"{given} was mistyped: after {' '.join(code.parts)} comes {check}, not {parts[-1]}; "
        message += "so the last character is wrong or one before it"
        raise NotFoundError(message)
    return code


def parts_of(typed: str) -> list[str]:
    """Return the parts of what was typed, in capital letters."""
    return [part.upper() for part in BETWEEN.split(typed.strip()) if part]


def _check_of(code: LabelCode) -> str:
    """Return the check character, or nothing where there is nothing to check."""
    try:
        return code.check
    except CodeError:
        return ""


def places_of(user: User, code: LabelCode) -> list[Place]:
    """Return what a code means to a person: usually one place, several where projects share a code.

    The revision is not asked: a board keeps its page when that is corrected. At most two queries.

    Raises
    ------
    NotFoundError
        When none of the person's projects has it.
    """
    named = Q(project__code__iexact=code.project) | Q(project__slug__iexact=code.project)
    boards = Board.objects.filter(named, serial__iexact=code.serial, project__memberships__user=user)
    found = [Place(board, None) for board in boards.select_related("project", "revision").order_by("id")]
    if code.connector:
        found = connectors_on(found, code.connector)
    if not found:
        message = f"no project of yours has {code.text}"
        raise NotFoundError(message)
    return found


def connectors_on(places: list[Place], key: str) -> list[Place]:
    """Return the connectors of this key on boards; none where their project has none. One query."""
    projects = {place.board.project_id for place in places}
    rows = Connector.objects.filter(project_id__in=projects, key__iexact=key).order_by("id")
    return [Place(one.board, row) for one in places for row in rows if row.project_id == one.board.project_id]
