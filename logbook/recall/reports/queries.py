"""Reading the reports asked for, and what every report says of itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from logbook.accounts.models import User
from logbook.common import clock
from logbook.common.errors import NotFoundError
from logbook.common.models import ChangeRecord
from logbook.projects.models import Project
from logbook.recall.models import Report
from logbook.recall.reports.choices import KEPT_FOR, ReportState


@dataclass(frozen=True)
class Imprint:
    """Who made a report, when, and from which state: the last entry of the project's record."""

    by: str
    at: datetime
    change: int
    changed_at: datetime | None


def imprint_of(project: Project, user: User) -> Imprint:
    """Return what a report made now says of itself. One query."""
    last = ChangeRecord.objects.filter(project_id=project.pk).order_by("-id").first()
    return Imprint(user.get_username(), clock.now(), last.pk if last else 0, last.at if last else None)


def reports_of(project: Project) -> QuerySet[Report]:
    """Return the reports of a project that are still kept, newest first, without their content. One query."""
    since = clock.now() - KEPT_FOR
    kept = Report.objects.filter(project=project, asked_at__gt=since)
    return kept.select_related("asked_by").defer("page", "pdf", "pictures").order_by("-id")


def report_of(project: Project, number: int) -> Report:
    """Return a report that is still kept."""
    found = reports_of(project).filter(pk=number).first()
    if found is None:
        message = f"{project} keeps no report {number}; files are taken away after a day, ask for it again"
        raise NotFoundError(message)
    return found


def pdf_of_report(report: Report) -> bytes:
    """Return the file of a report. One query."""
    if report.state != ReportState.DONE:
        message = f"{report} has no file: it is {report.get_state_display()}"
        raise NotFoundError(message)
    return bytes(report.pdf or b"")
