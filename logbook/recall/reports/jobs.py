"""Background work on reports."""

from __future__ import annotations

from logbook.common.errors import DomainError
from logbook.common.jobs import Hold
from logbook.evidence.models import Evidence
from logbook.evidence.serving import served
from logbook.recall.models import Report
from logbook.recall.printing import pdf_of
from logbook.recall.reports.choices import ReportState
from logbook.recall.reports.commands import refuse_report, store_report
from logbook.recall.reports.painting import painted

PICTURE = "1280.webp"


def make_report(hold: Hold) -> None:
    """Lay out the page of a report; done once, however often it is called."""
    report = Report.objects.filter(pk=hold.subject_id).first()
    # One that waited longer than reports are kept is gone.
    if report is None or report.state != ReportState.WAITING:
        return
    hold.renew()
    try:
        pdf = pdf_of(painted(report.page), address=report.address, pictures=_pictures(report))
    except DomainError as error:
        refuse_report(hold=hold, problem=error.message)
    else:
        store_report(hold=hold, pdf=pdf)


def _pictures(report: Report) -> dict[str, bytes]:
    """Return the pictures of the project that the page shows, by their path."""
    rows = Evidence.objects.filter(project=report.project_id).in_bulk(report.pictures.values())
    found = {path: rows[number] for path, number in report.pictures.items() if number in rows}
    return {path: served(row, PICTURE).path.read_bytes() for path, row in found.items()}
