"""When boards were not as designed, and why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from logbook.boards.choices import ReworkIntent
from logbook.boards.models import Board, Rework
from logbook.boards.queries.options import off_design_in_words, settings_off_design


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
    for setting in settings_off_design(ids):
        says = off_design_in_words(setting)
        stretch = Stretch(setting.in_force_from, setting.in_force_until, says)
        departures[setting.board_id][setting.option.subsystem_id].append(stretch)
    return {pk: BoardTimeline(dict(found)) for pk, found in departures.items()}


def differences_of(boards: Iterable[Board]) -> dict[int, tuple[str, ...]]:
    """Return what makes each board differ from its drawing now, by id. Four queries."""
    ids = [board.pk for board in boards]
    found: dict[int, tuple[str, ...]] = dict.fromkeys(ids, ())
    reworks = Rework.objects.filter(board_id__in=ids, in_force_until__isnull=True)
    for rework in reworks.exclude(intent=ReworkIntent.TO_DRAWING).order_by("in_force_from", "id"):
        found[rework.board_id] += (f"{rework.key}: {rework.what}",)
    for setting in settings_off_design(ids):
        if setting.in_force_until is None:
            found[setting.board_id] += (off_design_in_words(setting),)
    return found
