"""What the browser fetches beside a page of evidence: files, ranges of a capture, how far an analysis is."""

from __future__ import annotations

from dataclasses import asdict

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.views.decorators.http import require_safe

from logbook.evidence.choices import AnalysisState, EvidenceKind
from logbook.evidence.queries import evidence_numbered, is_shown, picture_problem, view_of
from logbook.evidence.serving import HEADERS, WHOLE_PICTURE, Served, original_served, served
from logbook.web.access import project_page, signed_in
from logbook.web.views.evidence.viewer import wanted_in


@signed_in
@require_safe
def evidence_content(
    request: HttpRequest, slug: str, number: int, suffix: str = WHOLE_PICTURE
) -> HttpResponseBase:
    """Hand over a file; a picture in one of the sizes it was prepared in."""
    return _handed(served(evidence_numbered(project_page(request, slug).project, number), suffix))


@signed_in
@require_safe
def evidence_original(request: HttpRequest, slug: str, number: int) -> HttpResponseBase:
    """Hand over a file exactly as it was given, to those who may record."""
    page = project_page(request, slug, may="record")
    return _handed(original_served(evidence_numbered(page.project, number)))


def _handed(file: Served) -> HttpResponseBase:
    return FileResponse(
        file.path.open("rb"),
        as_attachment=file.is_download,
        filename=file.name,
        content_type=file.media_type,
        headers=HEADERS,
    )


@signed_in
@require_safe
def evidence_view(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Return a range of a trace as pairs of lowest and highest."""
    evidence = evidence_numbered(project_page(request, slug).project, number)
    return JsonResponse(asdict(view_of(evidence, wanted_in(request.GET))))


@signed_in
@require_safe
def evidence_state(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Return how far the newest analysis, or the preparing of a picture, is."""
    evidence = evidence_numbered(project_page(request, slug).project, number)
    if evidence.kind == EvidenceKind.PHOTO:
        ready = is_shown(evidence) or bool(picture_problem(evidence))
        return JsonResponse({"at_work": not ready, "state": "done" if ready else "waiting", "progress": 0})
    analysis = evidence.analyses.first()
    if analysis is None:
        return JsonResponse({"at_work": False, "state": "done", "progress": 100})
    at_work = analysis.state in {AnalysisState.WAITING, AnalysisState.RUNNING}
    return JsonResponse({"at_work": at_work, "state": analysis.state, "progress": analysis.progress})
