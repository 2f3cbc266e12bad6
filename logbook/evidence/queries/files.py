"""Reading files and analyses of captures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from django.db.models import Prefetch, QuerySet

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.common.models import Job
from logbook.evidence import images, storage
from logbook.evidence.choices import PREPARE_PICTURE, EvidenceKind
from logbook.evidence.models import Analysis, Evidence
from logbook.projects.models import Project


def evidence_of(project: Project, filters: Mapping[str, str] | None = None) -> QuerySet[Evidence]:
    """Return the files of a project, newest first; page by ``id``. Two queries.

    ``filters`` may name kind, board, revision and text (looked for in name and caption).
    """
    asked = filters or {}
    rows = (
        Evidence.objects.filter(project=project)
        .select_related("board", "revision", "recorded_by", "project")
        .prefetch_related(Prefetch("analyses", Analysis.objects.order_by("-id")))
        .order_by("-id")
    )
    if asked.get("kind"):
        rows = rows.filter(kind=asked["kind"])
    if asked.get("board"):
        rows = rows.filter(board__serial=asked["board"])
    if asked.get("revision"):
        rows = rows.filter(revision__label=asked["revision"])
    if asked.get("text"):
        rows = rows.filter(name__icontains=asked["text"]) | rows.filter(caption__icontains=asked["text"])
    return rows


def evidence_numbered(project: Project, number: int) -> Evidence:
    """Return one file of a project, with its analyses, newest first."""
    found = evidence_of(project).filter(pk=number).first()
    if found is None:
        message = f"{project} has no evidence {number}"
        raise NotFoundError(message)
    return found


def analysis_numbered(evidence: Evidence, number: int) -> Analysis:
    """Return one analysis of a capture."""
    found = Analysis.objects.filter(evidence=evidence, pk=number).first()
    if found is None:
        message = f"{evidence} has no analysis {number}"
        raise NotFoundError(message)
    return found


@dataclass(frozen=True)
class FoundNumber:
    """One number of an analysis; a count is whole."""

    name: str
    value: float | int
    unit: str
    says: str
    definition: str = ""


def number_found(analysis: Analysis, name: str) -> FoundNumber:
    """Return a number of an analysis by its name."""
    entry = analysis.numbers.get(name)
    if entry is None:
        allowed = ", ".join(analysis.numbers) or "none: the analysis has no numbers"
        message = f"the analysis has no number {name!r}"
        raise InvalidInputError.of("number", message, given=name, allowed=allowed)
    return FoundNumber(name, entry["value"], entry["unit"], entry["says"], entry.get("definition", ""))


def numbers_found(analysis: Analysis) -> list[FoundNumber]:
    """Return the numbers of an analysis in the order they were found."""
    return [number_found(analysis, name) for name in analysis.numbers]


def shown_path(evidence: Evidence, suffix: str) -> Path:
    """Return where a prepared version of a picture lies."""
    path = storage.beside(evidence.sha256, suffix)
    if evidence.kind != EvidenceKind.PHOTO or suffix not in images.SIDES or not path.exists():
        message = f"{evidence} has not been prepared for showing yet"
        raise NotFoundError(message)
    return path


def is_shown(evidence: Evidence) -> bool:
    """Say whether a picture has been prepared for showing."""
    return all(storage.beside(evidence.sha256, suffix).exists() for suffix in images.SIDES)


def picture_problem(evidence: Evidence) -> str:
    """Return why a picture will never be shown; empty while it still may be. One query."""
    given_up = Job.objects.filter(
        name=PREPARE_PICTURE, subject_id=evidence.pk, finished_at__isnull=False
    ).exclude(problem="")
    return given_up.values_list("problem", flat=True).first() or ""
