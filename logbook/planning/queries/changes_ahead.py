"""Changes a decision on a revision may name: its own, and those of what descends from it."""

from __future__ import annotations

from logbook.common.errors import InvalidInputError
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
