"""Every option of a revision: as designed, as ordered, as built and as found on each board."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef

from logbook.boards.models import Board, OptionSetting
from logbook.projects.models import OptionPosition, Revision
from logbook.projects.queries import OptionStanding, option_standings, position_in_words


@dataclass(frozen=True)
class SettingRun:
    """How one option stands on one board, since when without a break, and how the board came.

    ``built`` is None where readings were taken before anybody looked: the option may have been moved by then.
    """

    board: Board
    built: OptionSetting | None
    found: OptionSetting
    since: datetime

    @property
    def has_moved(self) -> bool:
        """Say whether the option stands elsewhere than when the board came."""
        return self.built is not None and self.built.position_id != self.found.position_id


@dataclass(frozen=True)
class OptionRow:
    """One option of a revision with its boards; ``unseen`` are those where nobody looked."""

    standing: OptionStanding
    runs: Sequence[SettingRun]
    unseen: Sequence[Board]
    differences: Sequence[str]


def option_table(revision: Revision) -> list[OptionRow]:
    """Return the options of a revision with every board built to it, by key. Eleven queries."""
    boards = list(Board.objects.filter(revision=revision).order_by("serial"))
    runs = setting_runs(boards)
    rows = []
    for standing in option_standings(revision):
        found = [
            runs[board.pk, standing.option.pk] for board in boards if (board.pk, standing.option.pk) in runs
        ]
        seen = {run.board.pk for run in found}
        unseen = [board for board in boards if board.pk not in seen]
        rows.append(OptionRow(standing, found, unseen, tuple(_differences(standing, found))))
    return rows


def setting_runs(boards: Iterable[Board], *, at: datetime | None = None) -> dict[tuple[int, int], SettingRun]:
    """Return how each option stands on each board, now or at a moment, by (board, option). One query."""
    by_id = {board.pk: board for board in boards}
    settings = OptionSetting.objects.filter(board_id__in=list(by_id))
    if at is not None:
        settings = settings.filter(in_force_from__lte=at)
    histories: dict[tuple[int, int], list[OptionSetting]] = defaultdict(list)
    read_before = Board.objects.filter(
        pk=OuterRef("board_id"),
        measurements__taken_at__lt=OuterRef("in_force_from"),
        measurements__withdrawn_at__isnull=True,
    )
    settings = settings.select_related("option", "position").annotate(came_late=Exists(read_before))
    for setting in settings.order_by("in_force_from", "id"):
        histories[setting.board_id, setting.option_id].append(setting)
    return {key: _run(by_id[key[0]], history) for key, history in histories.items()}


def _run(board: Board, history: Sequence[OptionSetting]) -> SettingRun:
    """Return where a history ends, and since when it has stood there without a break."""
    newest = history[-1]
    since = newest.in_force_from
    for setting in reversed(history):
        if setting.position_id != newest.position_id:
            break
        since = setting.in_force_from
    first = history[0]
    built = None if first.came_late else first  # type: ignore[attr-defined]
    return SettingRun(board, built, newest, since)


def _differences(standing: OptionStanding, runs: Sequence[SettingRun]) -> Iterable[str]:
    """Say in words where designed, decided, ordered, built and found differ."""
    wanted, by = _wanted(standing)
    if standing.decision and not standing.decision.is_open and standing.drawn:
        yield from _differs("decided", standing.decision.position, standing.drawn.position, "designed")
    if standing.ordered and standing.drawn:
        yield from _differs("ordered", standing.ordered.position, standing.drawn.position, "designed")
    for run in runs:
        if by:
            first, word = (run.built, "built") if run.built else (run.found, "found")
            yield from _differs(f"{run.board} {word}", first.position, wanted, by)
        if run.built and run.has_moved:
            yield from _differs(f"{run.board} found", run.found.position, run.built.position, "built")


def _wanted(standing: OptionStanding) -> tuple[OptionPosition | None, str]:
    """Return what a board should have come with: what was ordered, else what is drawn."""
    if standing.ordered:
        return standing.ordered.position, "ordered"
    return (standing.drawn.position, "designed") if standing.drawn else (None, "")


def _differs(
    what: str, position: OptionPosition | None, other: OptionPosition | None, other_is: str
) -> Iterable[str]:
    if position != other:
        yield f"{what} {position_in_words(position)}, {other_is} {position_in_words(other)}"
