"""Changes a decision on a revision may name: its own, and those of what descends from it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from logbook.common.errors import InvalidInputError
from logbook.common.models import ChangeRecord
from logbook.planning.queries.risks import RiskRow
from logbook.projects.choices import ChangeState
from logbook.projects.models import Change, Revision
from logbook.projects.queries import lineages


def changes_ahead(revision: Revision) -> list[Change]:
    """Return the standing changes of a revision and its descendants, its own first. Two queries."""
    lines = lineages(revision.project)
    distance = {pk: line.index(revision.pk) for pk, line in lines.items() if revision.pk in line}
    rows = Change.objects.filter(revision_id__in=distance, withdrawn_at__isnull=True)
    found = list(rows.select_related("revision").order_by("id"))
    return sorted(found, key=lambda change: (distance[change.revision_id], change.pk))


def change_ahead(revision: Revision, key: str) -> Change:
    """Return the change a write names; of equal keys the nearest. The error names the keys there are."""
    changes = changes_ahead(revision)
    found = next((change for change in changes if change.key == key), None)
    if found is None:
        allowed = ", ".join(f"{change} of {change.revision}" for change in changes) or "none yet"
        message = f"no change {key!r} on {revision} or after it"
        raise InvalidInputError.of("change", message, given=key, allowed=allowed)
    return found


def changes_not_in_files(
    revision: Revision, rows: Iterable[RiskRow], until: datetime | None
) -> dict[int, str]:
    """Return why changes that rows are decided for are not in the files of a revision. One query at most."""
    changes = [row.disposition.record.change for row in rows if row.disposition]
    known = {change.pk: change for change in changes if change is not None}
    earlier = _states_at(known, until) if until and known else {}
    found: dict[int, str] = {}
    for pk, change in known.items():
        name = f"change {change} of {change.revision}, decided for it,"
        if change.revision_id != revision.pk:
            found[pk] = f"{name} is not of {revision}, which is ordered without it"
        elif earlier.get(pk, change.state) == ChangeState.PLANNED:
            found[pk] = f"{name} is only planned, not in the files"
    return found


def _states_at(changes: Iterable[int], until: datetime) -> dict[int, str]:
    """Return the state at a moment of the changes that were moved on since, from the record of changes."""
    since = ChangeRecord.objects.filter(kind="change", object_id__in=changes, at__gt=until)
    moved = since.order_by("-id").values_list("object_id", "fields")
    return {pk: fields["state"][0] for pk, fields in moved if "state" in fields}
