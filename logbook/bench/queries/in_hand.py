"""What the person at the bench must know of the board in hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Max

from logbook.bench.models import BenchSession, CurrentResult, Target
from logbook.bench.queries.lists import bench_sessions_of
from logbook.boards.choices import ReworkIntent
from logbook.boards.models import Board, OptionSetting, Rework
from logbook.projects.models import DesignedPosition, Project


@dataclass(frozen=True)
class InHand:
    """A board, what makes it differ from its drawing now, and where its last sitting stopped.

    ``reworks`` depart from the drawing; ``to_drawing`` brought the board back to it.
    """

    board: Board
    reworks: tuple[Rework, ...]
    to_drawing: tuple[Rework, ...]
    options: tuple[OptionSetting, ...]
    open_session: BenchSession | None
    last_session: BenchSession | None
    was_powered: bool

    @property
    def session(self) -> BenchSession | None:
        """Return the sitting that matters now: the open one, otherwise the last."""
        return self.open_session or self.last_session

    @property
    def differs(self) -> bool:
        """Say whether anything on the board departs from its drawing."""
        return bool(self.reworks or self.options)


def in_hand(board: Board) -> InHand:
    """Return what to know of one board."""
    return in_hand_of(board.project, [board])[0]


def in_hand_of(project: Project, boards: Iterable[Board]) -> list[InHand]:
    """Return what to know of some boards of a project. Nine queries, whatever their number."""
    wanted = list(boards)
    reworks = Rework.objects.filter(board__in=wanted, in_force_until__isnull=True)
    powered = set(
        CurrentResult.objects.filter(board__in=wanted, target__needs_power=True)
        .order_by()
        .values_list("board_id", flat=True)
        .distinct()
    )
    sessions = list(bench_sessions_of(project).filter(boards__in=wanted).distinct())
    options = _options_off_design(wanted)
    in_force = list(reworks.order_by("in_force_from", "id"))
    return [
        InHand(
            board=board,
            reworks=tuple(one for one in _on(board, in_force) if not _is_to_drawing(one)),
            to_drawing=tuple(one for one in _on(board, in_force) if _is_to_drawing(one)),
            options=tuple(one for one in options if one.board_id == board.pk),
            open_session=next((one for one in _with(sessions, board) if one.ended_at is None), None),
            last_session=next(iter(_with(sessions, board)), None),
            was_powered=board.pk in powered or bool(board.last_powered),
        )
        for board in wanted
    ]


def _on(board: Board, reworks: Iterable[Rework]) -> Iterator[Rework]:
    return (rework for rework in reworks if rework.board_id == board.pk)


def _is_to_drawing(rework: Rework) -> bool:
    return bool(rework.intent == ReworkIntent.TO_DRAWING)


def _with(sessions: Iterable[BenchSession], board: Board) -> list[BenchSession]:
    return [session for session in sessions if board in session.boards.all()]


def _options_off_design(boards: list[Board]) -> list[OptionSetting]:
    """Return the settings in force that differ from the designed position of the board's revision."""
    designed = {
        (row.revision_id, row.option_id): row.position_id
        for row in DesignedPosition.objects.filter(revision__in={board.revision_id for board in boards})
    }
    revisions = {board.pk: board.revision_id for board in boards}
    settings = OptionSetting.objects.filter(board__in=boards, in_force_until__isnull=True)
    return [
        setting
        for setting in settings.select_related("option", "position").order_by("option__key")
        if designed.get((revisions[setting.board_id], setting.option_id), setting.position_id)
        != setting.position_id
    ]


def boards_on_bench(project: Project) -> list[Board]:
    """Return the boards of a project, those in use first, scrapped ones last. One query."""
    order = ["in use", "new", "reference", "lent", "quarantined", "damaged", "scrapped"]
    boards = Board.objects.filter(project=project).select_related("revision", "project").order_by("serial")
    return sorted(boards, key=lambda board: (order.index(board.state), -board.revision_id))


def last_read_on(project: Project) -> dict[int, datetime]:
    """Return when each board of a project was last read against a target, by id. One query."""
    rows = CurrentResult.objects.filter(project=project).order_by()
    return dict(rows.values_list("board_id").annotate(last=Max("found__taken_at")))


def current_results_of(target: Target) -> list[CurrentResult]:
    """Return what each board shows for a target now, as found and as designed. One query."""
    return list(
        CurrentResult.objects.filter(target=target)
        .select_related("board", "revision", "found", "found__issue", "designed")
        .order_by("board__serial", "point")
    )
