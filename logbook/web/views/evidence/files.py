"""What the browser fetches beside a page of evidence: files, ranges of a capture, how far an analysis is."""

from __future__ import annotations

import math
from dataclasses import asdict

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.views.decorators.http import require_safe

from logbook.common.errors import InvalidInputError
from logbook.evidence.choices import AnalysisState, EvidenceKind
from logbook.evidence.levels import MOST_BUCKETS
from logbook.evidence.queries import evidence_numbered, is_shown, picture_problem, view_of
from logbook.evidence.serving import HEADERS, WHOLE_PICTURE, served
from logbook.web.access import project_page, signed_in


@signed_in
@require_safe
def evidence_content(
    request: HttpRequest, slug: str, number: int, suffix: str = WHOLE_PICTURE
) -> HttpResponseBase:
    """Hand over a file; a picture in one of the sizes it was prepared in."""
    file = served(evidence_numbered(project_page(request, slug).project, number), suffix)
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
    asked = request.GET
    channel = int(_number(asked.get("channel", "1"), "channel"))
    buckets = int(_number(asked.get("buckets", str(MOST_BUCKETS)), "buckets"))
    start, stop = (_number(asked[name], name) if asked.get(name) else None for name in ("start", "stop"))
    return JsonResponse(asdict(view_of(evidence, channel, start, stop, buckets)))


def _number(text: str, name: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InvalidInputError.of(name, f"{name} is no number", given=text[:40], allowed="a number")
    return value


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
