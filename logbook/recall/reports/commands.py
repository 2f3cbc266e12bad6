"""Writes to reports."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction

from logbook.common import clock, jobs
from logbook.common.changes import Actor, store_new
from logbook.projects.models import Project
from logbook.recall.models import Report
from logbook.recall.reports.choices import KEPT_FOR, MAKE_REPORT, ReportKind, ReportState


@transaction.atomic
def ask_report(
    *,
    actor: Actor,
    project: Project,
    kind: ReportKind,
    title: str,
    file_name: str,
    address: str,
    page: str,
    pictures: Mapping[str, int],
) -> Report:
    """Have a page laid out in the background; ``pictures`` names the evidence shown by its path."""
    remove_old_reports()
    report = Report(
        project=project,
        kind=kind,
        title=title[:300],
        file_name=file_name[:200],
        address=address[:1_000],
        page=page,
        pictures=dict(pictures),
        asked_at=clock.now(),
        asked_by=actor.user,
    )
    # Not under the project: that something was printed is no part of what it holds.
    store_new(report, actor=actor, project_id=0)
    jobs.enqueue(name=MAKE_REPORT, subject_id=report.pk)
    return report


def remove_old_reports() -> None:
    """Take away what is older than a day."""
    Report.objects.filter(asked_at__lte=clock.now() - KEPT_FOR).delete()


@transaction.atomic
def store_report(*, hold: jobs.Hold, pdf: bytes) -> None:
    """Keep the file of a report instead of its page."""
    hold.renew()
    Report.objects.filter(pk=hold.subject_id).update(state=ReportState.DONE, pdf=pdf, page="")


@transaction.atomic
def refuse_report(*, hold: jobs.Hold, problem: str) -> None:
    """Store why there is no file."""
    hold.renew()
    give_up_report(hold.subject_id, problem)


def give_up_report(report_id: int, problem: str) -> None:
    """Store that a report was not made."""
    Report.objects.filter(pk=report_id).update(state=ReportState.REFUSED, problem=problem[:500], page="")
