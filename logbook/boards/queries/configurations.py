"""How a board was configured at one minute: the reworks in force and the positions of its options."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from logbook.boards.models import Board, OptionSetting, Rework


@dataclass(frozen=True)
class BoardConfiguration:
    """The reworks in force on a board at one minute, and how its options stood."""

    reworks: Sequence[Rework]
    settings: Sequence[OptionSetting]


def configuration_at(board: Board, moment: datetime) -> BoardConfiguration:
    """Return how a board was configured at ``moment``, as far as it is recorded. Two queries."""
    in_force = Q(in_force_from__lte=moment) & (Q(in_force_until__isnull=True) | Q(in_force_until__gt=moment))
    reworks = Rework.objects.filter(in_force, board=board).order_by("in_force_from", "id")
    settings = OptionSetting.objects.filter(in_force, board=board).select_related("option", "position")
    return BoardConfiguration(list(reworks), list(settings.order_by("option__key")))
