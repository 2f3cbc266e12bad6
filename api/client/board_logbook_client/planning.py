"""What to do next on a board, and what nobody has read on it yet: asked of the site, kept nowhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote, urlencode

from board_logbook_client.errors import UnreachableError
from board_logbook_client.site import Site

USUAL_MINUTES = 60


@dataclass(frozen=True)
class Check:
    """One target to be read at one point on one board."""

    target: str
    board: str
    point: str
    minutes: int
    waiting_minutes: int
    buys: float
    reason: str
    stresses_board: bool = False
    cautions: str = ""

    def __str__(self) -> str:
        """Return one line for the bench."""
        point = f" {self.point}" if self.point else ""
        stress = ", STRESSES THE BOARD" if self.stresses_board else ""
        cautions = f", cautions {self.cautions}" if self.cautions else ""
        return f"{self.target}{point} on {self.board}, {self.minutes} min{stress}{cautions}: {self.reason}"


@dataclass(frozen=True)
class Untested:
    """A target without a reading on a board, at one point of it; and the state it has on the revision."""

    target: str
    point: str
    subsystem: str
    state: str
    reason: str


def revision_of(site: Site, project: str, board: str) -> str:
    """Return the label of the revision a board was built to."""
    return str(site.ask(f"projects/{_q(project)}/boards/{_q(board)}/")["revision"])


def next_checks(site: Site, project: str, boards: Sequence[str], minutes: int = USUAL_MINUTES) -> list[Check]:
    """Return the checks that buy most in the minutes there are, in the order to do them."""
    if not boards:
        raise ValueError("name at least one board at hand")
    revision = revision_of(site, project, boards[0])
    asked = urlencode([("minutes", minutes), *(("board", serial) for serial in boards)])
    plan = site.ask(f"projects/{_q(project)}/revisions/{_q(revision)}/bench-plan/?{asked}")
    return [_check(one) for one in plan["checks"]]


def walk(site: Site, project: str, boards: Sequence[str], minutes: int = USUAL_MINUTES) -> Iterator[Check]:
    """Yield one check after the other; the plan is made anew after each, because readings change it.

    A check is proposed once, read or not. While the site does not answer, the plan last made is gone through.
    """
    plan = next_checks(site, project, boards, minutes)
    proposed: set[tuple[str, str, str]] = set()
    left = minutes
    while True:
        still = [one for one in plan if _place(one) not in proposed and one.minutes <= left]
        if not still:
            return
        yield still[0]
        proposed.add(_place(still[0]))
        left -= still[0].minutes
        if left <= 0:
            return
        try:
            plan = next_checks(site, project, boards, left)
        except UnreachableError:
            plan = still


def untested(site: Site, project: str, board: str) -> list[Untested]:
    """Return what has no reading on this board, in the project's order, point by point."""
    revision = revision_of(site, project, board)
    rows = site.ask(f"projects/{_q(project)}/revisions/{_q(revision)}/coverage/")["rows"]
    points = _points_of(site, project, revision)
    found = []
    for row in rows:
        if row["state"] == "not applicable":
            continue
        asked = points.get(row["target"]) or [""]
        if board in [one["board"] for one in row["boards"]]:
            asked = _unread(site, project, board, row["target"], asked) if len(asked) > 1 else []
        found += [
            Untested(row["target"], point, row["subsystem"], row["state"], row["reason"]) for point in asked
        ]
    return found


def _points_of(site: Site, project: str, revision: str) -> dict[str, list[str]]:
    """Return the named points each target has on a revision."""
    rows = pages(site, f"projects/{_q(project)}/targets/", {"revision": revision})
    return {row["key"]: row["issue"]["points"] for row in rows if row["issue"]}


def _unread(site: Site, project: str, board: str, target: str, points: list[str]) -> list[str]:
    """Return the points of a target without a reading on a board that stands."""
    rows = pages(site, "measurements/", {"project": project, "board": board, "target": target})
    read = {row["point"] for row in rows if row["withdrawn"] is None}
    return [point for point in points if point not in read]


def pages(site: Site, path: str, asked: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield the rows of a list, page after page."""
    after: dict[str, Any] = {}
    while True:
        page = site.ask(f"{path}?{urlencode({**asked, 'limit': 500, **after})}")
        yield from page["results"]
        if page["next_after"] is None:
            return
        after = {"after": page["next_after"]}


def _check(one: dict[str, Any]) -> Check:
    names = ("target", "board", "point", "minutes", "waiting_minutes", "buys", "reason")
    # A site of before says neither.
    told = {name: one[name] for name in ("stresses_board", "cautions") if name in one}
    return Check(**{name: one[name] for name in names}, **told)


def _place(check: Check) -> tuple[str, str, str]:
    return check.target, check.board, check.point


def _q(part: str) -> str:
    return quote(part, safe="")
