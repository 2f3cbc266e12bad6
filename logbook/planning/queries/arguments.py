"""Arguments that carry evidence over by hand, with what was recorded after each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from django.db.models import Q
from django.utils import timezone

from logbook.bench.choices import Outcome
from logbook.bench.models import Measurement
from logbook.core.state import Argument
from logbook.core.verdict import Verdict
from logbook.planning.models import CarriedOver
from logbook.planning.queries.known import known_at, standing_at
from logbook.projects.models import Change, Revision


def arguments_of(
    revision: Revision, line: Sequence[int], labels: Mapping[int, str], until: datetime | None
) -> dict[str, Argument]:
    """Return the arguments of a revision by target. One query; three where there is any.

    ``line`` holds the ids of the revision and its ancestors, nearest first.
    """
    rows = list(standing_at(CarriedOver.objects.filter(revision=revision), until).select_related("target"))
    if not rows:
        return {}
    changes = standing_at(Change.objects.filter(revision_id__in=line), until)
    known = list(changes.values_list("revision_id", "key", "recorded_at"))
    read = _read_otherwise(rows, line[1:], until)
    return {
        row.target.key: Argument(
            row.by,
            row.argument,
            timezone.localtime(row.recorded_at).date().isoformat(),
            frozenset((labels[pk], key) for pk, key, at in known if at > row.recorded_at),
            tuple(read[row.target.key]),
        )
        for row in rows
    }


def _read_otherwise(
    rows: Collection[CarriedOver], ancestors: Collection[int], until: datetime | None
) -> dict[str, list[str]]:
    """Return by target which readings of ancestors were withdrawn since, and which came that do not pass.

    One query.
    """
    said_at = {row.target.key: row.recorded_at for row in rows}
    first = min(said_at.values())
    touched = Measurement.objects.filter(
        Q(withdrawn_at__gt=first) | Q(recorded_at__gt=first),
        target__in=[row.target_id for row in rows],
        board__revision_id__in=ancestors,
    )
    found: dict[str, list[str]] = defaultdict(list)
    for one in known_at(touched, until).select_related("board", "target").order_by("id"):
        key = one.target.key if one.target else ""
        name = f"reading of {key} on {one.board.serial} {one.point}".rstrip()
        since, gone = said_at[key], one.withdrawn_at
        is_gone = gone is not None and (until is None or gone <= until)
        if one.recorded_at <= since:
            if is_gone and gone is not None and gone > since:
                found[key].append(f"{name} was withdrawn")
        elif not is_gone and one.verdict != Verdict.PASS and one.outcome != Outcome.SEEN_WORKING:
            found[key].append(f"new {name}: {one.verdict or one.outcome}")
    return found
