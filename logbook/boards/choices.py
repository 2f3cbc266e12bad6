"""Fixed words of boards and reworks."""

from django.db import models


class BoardState(models.TextChoices):
    NEW = "new", "new"
    IN_USE = "in use", "in use"
    REFERENCE = "reference", "reference"
    LENT = "lent", "lent"
    QUARANTINED = "quarantined", "quarantined"
    DAMAGED = "damaged", "damaged"
    SCRAPPED = "scrapped", "scrapped"


# Boards a reading can be taken on without asking anybody: a new one is in use from its first reading on.
AT_HAND = (BoardState.IN_USE, BoardState.NEW)


class ReworkKind(models.TextChoices):
    CUT_TRACK = "cut track", "cut track"
    WIRE_LINK = "wire link", "wire link"
    PART_SWAP = "part swap", "part swap"
    ADDED_PART = "added part", "added part"
    REMOVED_PART = "removed part", "removed part"
    OTHER = "other", "other"


class ReworkIntent(models.TextChoices):
    """Words of IPC-7711/7721: back to its drawing, working otherwise, or doing something else."""

    TO_DRAWING = "to drawing", "to drawing"
    REPAIR = "repair", "repair"
    MODIFICATION = "modification", "modification"
