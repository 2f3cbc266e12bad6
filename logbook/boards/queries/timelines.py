"""When boards were not as designed, and why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from logbook.boards.choices import ReworkIntent
from logbook.boards.models import Board, OptionSetting, Rework
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
    """Return the time line of each board. Two queries, whatever the number of boards."""
    ids = list(board_ids)
    departures: dict[int, dict[int, list[Stretch]]] = {pk: defaultdict(list) for pk in ids}
    reworks = Rework.objects.filter(board_id__in=ids).exclude(intent=ReworkIntent.TO_DRAWING)
    told = reworks.filter(subsystems__isnull=False).values_list(
        "board_id", "subsystems", "key", "intent", "in_force_from", "in_force_until"
    )
    for board_id, subsystem_id, key, intent, begins, ends in told.order_by("id"):
        departures[board_id][subsystem_id].append(Stretch(begins, ends, f"{key} ({intent}) in force"))
    for setting in settings_off_design(ids):
        departures[setting.board_id][setting.option.subsystem_id].append(stretch_of_setting(setting))
    return {pk: BoardTimeline(dict(found)) for pk, found in departures.items()}


def stretch_of_rework(rework: Rework) -> Stretch:
    """Return the stretch during which a rework is in force."""
    return Stretch(rework.in_force_from, rework.in_force_until, f"{rework.key} ({rework.intent}) in force")


def stretch_of_setting(setting: OptionSetting) -> Stretch:
    """Return the stretch during which an option stood off its designed position."""
    return Stretch(setting.in_force_from, setting.in_force_until, off_design_in_words(setting))


def differences_of(boards: Iterable[Board]) -> dict[int, tuple[str, ...]]:
    """Return what makes each board differ from its drawing now, by id. Two queries."""
    ids = [board.pk for board in boards]
    found: dict[int, tuple[str, ...]] = dict.fromkeys(ids, ())
    reworks = Rework.objects.filter(board_id__in=ids, in_force_until__isnull=True)
    for rework in reworks.exclude(intent=ReworkIntent.TO_DRAWING).order_by("in_force_from", "id"):
        found[rework.board_id] += (f"{rework.key}: {rework.what}",)
    for setting in settings_off_design(ids):
        if setting.in_force_until is None:
            found[setting.board_id] += (off_design_in_words(setting),)
    return found
