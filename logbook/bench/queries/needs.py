"""Which targets a target needs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from django.db import connection

from logbook.bench.models import Prerequisite
from logbook.common.prepared import Prepared, given
from logbook.projects.models import Project

_NEEDS = Prepared(
    lambda: Prerequisite.objects.filter(target__project_id=given(0)).values_list("target_id", "needs_id")
)


def direct_needs(project: Project, target_ids: Iterable[int]) -> dict[int, set[int]]:
    """Return what each target needs directly, by id. One query."""
    needs: dict[int, set[int]] = {pk: set() for pk in target_ids}
    for target_id, needed in _NEEDS.rows(project.pk):
        needs[target_id].add(needed)
    return needs


_NEEDS_OF_FEW = f"""
    WITH RECURSIVE needed(target_id, needs_id) AS (
        SELECT target_id, needs_id FROM {Prerequisite._meta.db_table} WHERE target_id IN (%s)
        UNION
        SELECT needed.target_id, further.needs_id
        FROM needed JOIN {Prerequisite._meta.db_table} further ON further.target_id = needed.needs_id
    )
    SELECT target_id, needs_id FROM needed"""  # noqa: S608 - a name of our own table, and marks


def needs_of_few(target_ids: Sequence[int]) -> dict[int, frozenset[int]]:
    """Return all that some targets need, directly or not. One query that follows only these."""
    needs: dict[int, set[int]] = defaultdict(set)
    with connection.cursor() as cursor:
        marks = ", ".join(["%s"] * len(target_ids))
        cursor.execute(_NEEDS_OF_FEW.replace("%s", marks), list(target_ids))
        for target_id, needed in cursor.fetchall():
            needs[target_id].add(needed)
    return {target_id: frozenset(found) for target_id, found in needs.items()}
