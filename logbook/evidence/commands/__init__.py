"""Every write to evidence."""

from logbook.evidence.commands.drawings import (
    add_drawing,
    confirm_layers,
    give_up_drawing,
    refuse_drawing,
    store_drawn,
)
from logbook.evidence.commands.files import (
    add_evidence,
    ask_analysis,
    change_evidence,
    give_up_analysis,
    note_progress,
    refuse_analysis,
    store_numbers,
)
from logbook.evidence.commands.pictures import (
    add_picture,
    keep_point_pairs,
    place,
    withdraw_picture,
    withdraw_placing,
)

__all__ = [
    "add_drawing",
    "add_evidence",
    "add_picture",
    "ask_analysis",
    "change_evidence",
    "confirm_layers",
    "give_up_analysis",
    "give_up_drawing",
    "keep_point_pairs",
    "note_progress",
    "place",
    "refuse_analysis",
    "refuse_drawing",
    "store_drawn",
    "store_numbers",
    "withdraw_picture",
    "withdraw_placing",
]
