"""Which version of a target somebody saw, and who changed what since."""

from __future__ import annotations

from django.db.models import Max, QuerySet

from logbook.bench.models import Target, TargetIssue
from logbook.common.models import ChangeRecord


def version_of(target: Target) -> str:
    """Return the version of a target as text: its last change on record and its newest issue. Two queries."""
    last = _records(target).aggregate(last=Max("id"))["last"]
    newest = target.issues.aggregate(newest=Max("number"))["newest"]
    return f"{last or 0}.{newest or 0}"


def changes_since(target: Target, seen: str) -> list[str]:
    """Return who changed what since version ``seen``, in sentences, oldest first. Two queries."""
    record, _, issue = seen.partition(".")
    if not (record.isdecimal() and issue.isdecimal()):
        return []
    records = _records(target).filter(id__gt=int(record)).select_related("actor").order_by("id")
    issues = target.issues.filter(number__gt=int(issue)).select_related("issued_by").order_by("number")
    return [_said(one) for one in records] + [_issued(one) for one in issues]


def _records(target: Target) -> QuerySet[ChangeRecord]:
    kind = str(Target._meta.verbose_name)
    return ChangeRecord.objects.filter(kind=kind, object_id=target.pk)


def _said(record: ChangeRecord) -> str:
    parts = [
        f"{name.replace('_', ' ')} from {before or 'nothing'} to {after or 'nothing'}"
        for name, (before, after) in record.fields.items()
    ]
    who = record.actor.username if record.actor else "somebody"
    return f"{who} changed {', '.join(parts) or 'it'} at {record.at:%Y-%m-%d %H:%M} UTC"


def _issued(issue: TargetIssue) -> str:
    who = issue.issued_by.username if issue.issued_by else "somebody"
    return f"{who} issued it anew as issue {issue.number} ({issue.limits_text or issue.kind}): {issue.reason}"
