"""Every record type of the archive, each after all it names; and the tables that are not in it."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from logbook.common.models import ChangeRecord
from logbook.projects.models import Project
from logbook.recall.archive.records import bench, boards, design, findings
from logbook.recall.archive.records.record import Record


def _changes(project: Project) -> QuerySet[Any]:
    return ChangeRecord.objects.filter(project_id=project.pk)


RECORDS: tuple[Record, ...] = (
    *design.RECORDS,
    *boards.RECORDS,
    *bench.RECORDS,
    *findings.RECORDS,
    # What was changed is named by its kind and its name in its own file, or not at all once it is gone.
    Record(
        "change-records",
        ChangeRecord,
        rows=_changes,
        left_out=frozenset({"project_id", "object_id"}),
        names_object=True,
    ),
)
BY_NAME = {record.name: record for record in RECORDS}
# Tables that are not written, each with the reason.
EXCLUDED = {
    "accounts.User": "people are written as names only, in people.jsonl",
    "accounts.ApiToken": "a token is a secret of the site it was made on",
    "common.Job": "work that waits is asked for anew where the archive is read",
    "bench.CurrentResult": "derived from the readings, made anew where the archive is read",
    "bench.FailingSpan": "derived from the readings, made anew where the archive is read",
    "bench.Trial": "derived from the readings, made anew where the archive is read",
    "recall.Document": "derived from everything else, made anew by the search",
    "recall.Word": "derived from everything else, made anew by the search",
    "recall.Followed": "how far the search of one site has followed its own record of changes",
    "recall.Report": "pages laid out for a day, made anew from what the archive holds",
    "recall.Export": "archives written by this site, not part of what they hold",
}

__all__ = ["BY_NAME", "EXCLUDED", "RECORDS", "Record"]
