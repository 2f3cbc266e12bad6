"""Where a rework cuts, wires or moves something."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from logbook.boards.models import Rework, ReworkPath
from logbook.common.changes import check_whole
from logbook.common.errors import InvalidInputError

MOST_PATHS = 100


@dataclass(frozen=True)
class PathInput:
    """From where to where, with the wire and its length as it is written on paper."""

    begins_at: str
    leads_to: str = ""
    wire: str = ""
    length: str = ""


def store_paths(rework: Rework, paths: Sequence[PathInput]) -> None:
    """Give a rework its paths in place of those it has; the command that calls this notes the change."""
    if len(paths) > MOST_PATHS:
        raise InvalidInputError.of("paths", "too many paths", given=len(paths), allowed=f"up to {MOST_PATHS}")
    rows = [ReworkPath(rework=rework, order=order, **asdict(path)) for order, path in enumerate(paths)]
    for row in rows:
        check_whole(row)
    rework.paths.all().delete()
    ReworkPath.objects.bulk_create(rows)
