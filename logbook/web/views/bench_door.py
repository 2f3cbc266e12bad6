"""The bench door: which board is in your hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse

from logbook.bench.models import BenchSession
from logbook.bench.queries.in_hand import InHand, boards_on_bench, in_hand_of, last_read_on
from logbook.bench.queries.lists import bench_sessions_of
from logbook.boards.choices import BoardState
from logbook.boards.models import Board
from logbook.projects.models import Project
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.rendering import csv_answer, show

BOARDS_HEADER = ("board", "revision", "state", "location", "differs", "last_read", "next_step")
AT_HAND = frozenset({BoardState.IN_USE, BoardState.NEW})


@dataclass(frozen=True)
class BoardCard:
    """One board to choose."""

    hand: InHand
    last_read: datetime | None


@dataclass(frozen=True)
class BenchDoorPage:
    """What the bench door shows."""

    page: ProjectPage
    state: str
    states: list[str]
    at_hand: list[BoardCard]
    elsewhere: list[BoardCard]
    open_sessions: list[BenchSession]
    has_targets: bool
    plan_for: list[str]


@signed_in
def bench_door(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the boards, those in use first, and what was stopped in the middle."""
    page = project_page(request, slug, door="bench")
    state = request.GET.get("state", "")
    boards = [one for one in boards_on_bench(page.project) if state in {"", one.state}]
    cards = _cards(page.project, boards)
    context = BenchDoorPage(
        page=page,
        state=state,
        states=list(BoardState.values),
        at_hand=[card for card in cards if card.hand.board.state in AT_HAND],
        elsewhere=[card for card in cards if card.hand.board.state not in AT_HAND],
        open_sessions=list(bench_sessions_of(page.project).filter(ended_at__isnull=True)[:5]),
        has_targets=page.project.targets.exists(),
        plan_for=_revisions_in_use(boards),
    )
    return show(request, "bench/door.html", context)


@signed_in
def bench_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the boards as CSV: where each is, what makes it differ, where its last sitting stopped."""
    page = project_page(request, slug)
    cards = _cards(page.project, boards_on_bench(page.project))
    return csv_answer(f"{slug}-boards.csv", BOARDS_HEADER, [_row(card) for card in cards])


def _cards(project: Project, boards: list[Board]) -> list[BoardCard]:
    last = last_read_on(project)
    return [BoardCard(hand, last.get(hand.board.pk)) for hand in in_hand_of(project, boards)]


def _revisions_in_use(boards: list[Board]) -> list[str]:
    """Return the labels of the revisions with a board in use, the newest first."""
    in_use = {one.revision for one in boards if one.state == BoardState.IN_USE}
    return [one.label for one in sorted(in_use, key=lambda one: one.pk, reverse=True)]


def _row(card: BoardCard) -> tuple[object, ...]:
    board, hand = card.hand.board, card.hand
    differs = [rework.key for rework in hand.reworks] + [str(setting) for setting in hand.options]
    next_step = hand.session.next_step if hand.session else ""
    return (
        board.serial,
        board.revision.label,
        board.state,
        board.location,
        "; ".join(differs),
        card.last_read,
        next_step,
    )
