"""Reading boards and how each was configured at any minute of its life."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Q, QuerySet

from logbook.boards.choices import ReworkIntent
from logbook.boards.models import Board, BoardEvent, OptionSetting, Rework
from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.projects.models import Change, DesignedPosition, Project, Revision
from logbook.projects.queries import changes_of


def board_of(project: Project, serial: str) -> Board:
    """Return the board with ``serial``."""
    found = Board.objects.select_related("revision", "project").filter(project=project, serial=serial).first()
    if found is None:
        message = f"{project} has no board {serial!r}"
        raise NotFoundError(message)
    return found


def board_named(project: Project, serial: str, *, field: str = "board") -> Board:
    """Return the board a write names; the error names the serials there are."""
    found = Board.objects.select_related("revision").filter(project=project, serial=serial).first()
    if found is None:
        serials = ", ".join(project.boards.values_list("serial", flat=True)[:20]) or "none yet"
        raise InvalidInputError.of(field, f"no board {serial!r} here", given=serial, allowed=serials)
    return found


def reworks_of_project(project: Project) -> QuerySet[Rework]:
    """Return the reworks of a project's boards with the subsystems they touch. Two queries."""
    return (
        Rework.objects.filter(board__project=project)
        .select_related("board__project", "recorded_by")
        .prefetch_related("subsystems")
    )


def rework_numbered(project: Project, number: int) -> Rework:
    """Return one rework of a project."""
    found = reworks_of_project(project).filter(pk=number).first()
    if found is None:
        message = f"{project} has no rework {number}"
        raise NotFoundError(message)
    return found


def changes_and_reworks_of(revision: Revision) -> QuerySet[Change]:
    """Return the standing changes of a revision with what they touch and fold in. Five queries."""
    return changes_of(revision).prefetch_related("folded_in__rework__board")


@dataclass(frozen=True)
class Stretch:
    """Something that held on a board from one moment until another."""

    begins: datetime
    ends: datetime | None
    says: str

    def holds_at(self, moment: datetime) -> bool:
        """Say whether it held at ``moment``; the first minute belongs to it, the last does not."""
        return self.begins <= moment and (self.ends is None or moment < self.ends)


@dataclass(frozen=True)
class BoardTimeline:
    """Every stretch during which a board was not as designed, by subsystem id."""

    departures: dict[int, list[Stretch]] = field(default_factory=dict)

    def departure_at(self, subsystem_id: int, moment: datetime) -> str:
        """Return why the subsystem was not as designed at ``moment``; empty when it was."""
        for stretch in self.departures.get(subsystem_id, ()):
            if stretch.holds_at(moment):
                return stretch.says
        return ""


def board_timelines(board_ids: Iterable[int]) -> dict[int, BoardTimeline]:
    """Return the time line of each board. Four queries, whatever the number of boards."""
    ids = list(board_ids)
    departures: dict[int, dict[int, list[Stretch]]] = {pk: defaultdict(list) for pk in ids}
    reworks = Rework.objects.filter(board_id__in=ids).exclude(intent=ReworkIntent.TO_DRAWING)
    for rework in reworks.prefetch_related("subsystems"):
        says = f"{rework.key} ({rework.intent}) in force"
        stretch = Stretch(rework.in_force_from, rework.in_force_until, says)
        for subsystem in rework.subsystems.all():
            departures[rework.board_id][subsystem.pk].append(stretch)
    for setting in _settings_off_design(ids):
        says = _off_design_in_words(setting)
        stretch = Stretch(setting.in_force_from, setting.in_force_until, says)
        departures[setting.board_id][setting.option.subsystem_id].append(stretch)
    return {pk: BoardTimeline(dict(found)) for pk, found in departures.items()}


def _off_design_in_words(setting: OptionSetting) -> str:
    if setting.position is None:
        return f"{setting.option.key} not fitted, though by design it is"
    return f"{setting.option.key} at {setting.position}, not as designed"


def _settings_off_design(board_ids: list[int]) -> list[OptionSetting]:
    """Return the settings that differ from the designed position of the board's revision."""
    settings = OptionSetting.objects.filter(board_id__in=board_ids).select_related(
        "option", "position", "board"
    )
    revisions = Board.objects.filter(pk__in=board_ids).values("revision_id")
    designed = {
        (row.revision_id, row.option_id): row.position_id
        for row in DesignedPosition.objects.filter(revision_id__in=revisions)
    }
    return [
        setting
        for setting in settings
        if designed.get((setting.board.revision_id, setting.option_id), setting.position_id)
        != setting.position_id
    ]


def boards_of(project: Project, *, text: str = "", state: str = "", revision: str = "") -> QuerySet[Board]:
    """Return the boards of a project by serial; ``text`` is looked for in serial, place and note."""
    boards = Board.objects.filter(project=project).select_related("revision").order_by("serial")
    if text:
        found = Q(serial__icontains=text) | Q(location__icontains=text) | Q(note__icontains=text)
        boards = boards.filter(found)
    if state:
        boards = boards.filter(state=state)
    return boards.filter(revision__label=revision) if revision else boards


def differences_of(boards: Iterable[Board]) -> dict[int, tuple[str, ...]]:
    """Return what makes each board differ from its drawing now, by id. Four queries."""
    ids = [board.pk for board in boards]
    found: dict[int, tuple[str, ...]] = dict.fromkeys(ids, ())
    reworks = Rework.objects.filter(board_id__in=ids, in_force_until__isnull=True)
    for rework in reworks.exclude(intent=ReworkIntent.TO_DRAWING).order_by("in_force_from", "id"):
        found[rework.board_id] += (f"{rework.key}: {rework.what}",)
    for setting in _settings_off_design(ids):
        if setting.in_force_until is None:
            found[setting.board_id] += (_off_design_in_words(setting),)
    return found


def events_of(board: Board) -> QuerySet[BoardEvent]:
    """Return the states and places a board came to, newest first. One query."""
    return BoardEvent.objects.filter(board=board).select_related("recorded_by").order_by("-at", "-id")


def reworks_of(board: Board) -> QuerySet[Rework]:
    """Return the reworks of a board with the subsystems they touch, newest first. Two queries."""
    return (
        Rework.objects.filter(board=board)
        .select_related("recorded_by")
        .prefetch_related("subsystems")
        .order_by("-in_force_from", "-id")
    )


def rework_of(board: Board, key: str) -> Rework:
    """Return the rework with ``key``."""
    found = Rework.objects.select_related("board").filter(board=board, key=key).first()
    if found is None:
        message = f"{board} has no rework {key!r}"
        raise NotFoundError(message)
    return found


def rework_named(board: Board, key: str, *, field: str = "rework") -> Rework:
    """Return the rework a write names; the error names the keys there are."""
    found = Rework.objects.select_related("board").filter(board=board, key=key).first()
    if found is None:
        keys = ", ".join(board.reworks.values_list("key", flat=True)) or "none yet"
        raise InvalidInputError.of(field, f"{board} has no rework {key!r}", given=key, allowed=keys)
    return found


def option_settings_of(board: Board) -> QuerySet[OptionSetting]:
    """Return how the options of a board were found over time, newest first. One query."""
    return (
        OptionSetting.objects.filter(board=board)
        .select_related("option", "position", "recorded_by")
        .order_by("option__key", "-in_force_from", "-id")
    )
