"""Reports: each is a page to read or print, and on request a PDF file made in the background."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.template.loader import render_to_string
from django.views.decorators.http import require_http_methods, require_safe

from logbook.bench.models import BenchSession
from logbook.bench.queries.lists import bench_session_of, bench_sessions_of
from logbook.projects.models import Project, Revision
from logbook.projects.queries import revisions_of
from logbook.recall.models import Report
from logbook.recall.reports.choices import ReportKind, ReportState
from logbook.recall.reports.commands import ask_report
from logbook.recall.reports.queries import pdf_of_report, report_of, reports_of
from logbook.web.access import ProjectPage, actor_of, person, project_page, signed_in
from logbook.web.rendering import show, values_of
from logbook.web.reports.brief import brief_report_of
from logbook.web.reports.revision import revision_report_of
from logbook.web.reports.session import session_report_of
from logbook.web.reviewing import opened_revision

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

TEMPLATES = {
    ReportKind.SESSION: "reports/session.html",
    ReportKind.REVISION: "reports/revision.html",
    ReportKind.BRIEF: "reports/brief.html",
}
SESSIONS_OFFERED = 30


@dataclass(frozen=True)
class ReportListPage:
    """What the page of reports shows."""

    page: ProjectPage
    revisions: Sequence[Revision]
    sessions: Sequence[BenchSession]
    reports: Sequence[Report]


@dataclass(frozen=True)
class ReportPage:
    """What the page of a report that is being made shows."""

    page: ProjectPage
    report: Report
    is_at_work: bool


@signed_in
@require_safe
def report_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Offer the reports there can be, and those made today."""
    page = project_page(request, slug)
    context = ReportListPage(
        page=page,
        revisions=list(revisions_of(page.project)),
        sessions=list(bench_sessions_of(page.project)[:SESSIONS_OFFERED]),
        reports=list(reports_of(page.project)),
    )
    return show(request, "reports/list.html", context)


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def session_report(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Show the bring-up report of a session; sent, have it made as a PDF file."""
    page = project_page(request, slug, door="bench")
    session = bench_session_of(page.project, number)
    context = session_report_of(page, session, person(request))
    if request.method != "POST":
        return show(request, TEMPLATES[ReportKind.SESSION], context)
    pictures = {picture.path: picture.evidence.pk for picture in context.pictures}
    title = f"Bring-up report of {page.project}: {session.title}"
    return _asked(request, page.project, ReportKind.SESSION, (title, f"session-{number}"), context, pictures)


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def revision_report(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show the report of a revision, today or as of a day; sent, have it made as a PDF file."""
    page, revision = opened_revision(request, slug, label)
    context = revision_report_of(page, revision, person(request), request.GET)
    if request.method != "POST" or not context.coverage:
        status = 200 if context.coverage else 400
        return show(request, TEMPLATES[ReportKind.REVISION], context, status=status)
    title = f"Report of {page.project}, revision {revision}"
    day = f"-{context.coverage.as_of}" if context.coverage.as_of else ""
    return _asked(request, page.project, ReportKind.REVISION, (title, f"rev-{label}{day}"), context, {})


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def brief_report(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the return brief for paper, today or as of a day; sent, have it made as a PDF file."""
    page = project_page(request, slug, door="look-back")
    context = brief_report_of(page, person(request), request.GET)
    if request.method != "POST" or not context.brief:
        status = 200 if context.brief else 400
        return show(request, TEMPLATES[ReportKind.BRIEF], context, status=status)
    day = f"-{context.brief.as_of}" if context.brief.as_of else ""
    title = f"Return brief of {page.project}"
    return _asked(request, page.project, ReportKind.BRIEF, (title, f"return-brief{day}"), context, {})


def _asked(
    request: HttpRequest,
    project: Project,
    kind: ReportKind,
    named: tuple[str, str],
    context: DataclassInstance,
    pictures: dict[str, int],
) -> HttpResponse:
    """Keep the page without the frame of the site, and lead to where its file will be."""
    title, name = named
    report = ask_report(
        actor=actor_of(request),
        project=project,
        kind=kind,
        title=title,
        file_name=f"{project.slug}-{name}.pdf",
        address=request.build_absolute_uri(),
        page=render_to_string(TEMPLATES[kind], values_of(context)),
        pictures=pictures,
    )
    return redirect("report-detail", project.slug, report.pk)


@signed_in
@require_safe
def report_detail(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Show how far a report is, and where its file lies."""
    page = project_page(request, slug)
    report = report_of(page.project, number)
    context = ReportPage(page, report, report.state == ReportState.WAITING)
    return show(request, "reports/detail.html", context)


@signed_in
@require_safe
def report_state(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Return how far a report is."""
    report = report_of(project_page(request, slug).project, number)
    at_work = report.state == ReportState.WAITING
    return JsonResponse({"at_work": at_work, "state": report.state, "progress": 0 if at_work else 100})


@signed_in
@require_safe
def report_file(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Return the file of a report."""
    report = report_of(project_page(request, slug).project, number)
    answer = HttpResponse(pdf_of_report(report), content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="{report.file_name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
