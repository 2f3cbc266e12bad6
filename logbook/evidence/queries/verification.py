"""Compares the files of evidence with their hashes, and the numbers of captures with the files."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any

from logbook.common.errors import DomainError
from logbook.common.verification import Discrepancy, LookedAt
from logbook.core.errors import CoreError
from logbook.evidence import storage
from logbook.evidence.choices import AnalysisState
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.numbers import numbers_of
from logbook.evidence.traces import Capture, capture_of
from logbook.projects.models import Project

FILE, NUMBER = "file of evidence", "number of a capture"
# Numbers found anew from the same bytes agree to this share; libraries and processors round differently.
AGREE_WITHIN = 1e-7


def evidence_discrepancies_of(project: Project, looked_at: LookedAt | None = None) -> Iterator[Discrepancy]:
    """Yield each file missing or altered and each number its file no longer gives. Reads every file."""
    counts = LookedAt() if looked_at is None else looked_at
    for evidence in Evidence.objects.filter(project=project).order_by("id"):
        counts[FILE] += 1
        problem = _problem_of(evidence)
        if problem:
            where = f"evidence {evidence.pk} ({evidence.name})"
            yield Discrepancy(FILE, where, f"SHA-256 {evidence.sha256[:12]}…", problem)
        else:
            yield from _numbers(evidence, counts)


def _problem_of(evidence: Evidence) -> str:
    if storage.is_intact(evidence.sha256):
        return ""
    return "the file is missing or was altered"


def _numbers(evidence: Evidence, counts: LookedAt) -> Iterator[Discrepancy]:
    analyses = Analysis.objects.filter(evidence=evidence, state=AnalysisState.DONE).order_by("id")
    for analysis in analyses:
        counts[NUMBER] += len(analysis.numbers)
        where = f"analysis {analysis.pk} of {evidence.name}"
        try:
            anew = numbers_of(_capture(evidence, analysis), analysis.parameters).numbers
        except (CoreError, DomainError) as error:
            yield Discrepancy(NUMBER, where, f"{len(analysis.numbers)} numbers", f"unreadable: {error}")
            continue
        for name, kept in analysis.numbers.items():
            if not _agrees(kept, anew.get(name)):
                yield Discrepancy(NUMBER, f"{name} in {where}", _said(kept), _said(anew.get(name)))


def _capture(evidence: Evidence, analysis: Analysis) -> Capture:
    return capture_of(evidence.kind, storage.original(evidence.sha256).read_bytes(), analysis.parameters)


def _agrees(kept: dict[str, Any], anew: dict[str, Any] | None) -> bool:
    if anew is None or kept["unit"] != anew["unit"]:
        return False
    return math.isclose(kept["value"], anew["value"], rel_tol=AGREE_WITHIN)


def _said(number: dict[str, Any] | None) -> str:
    return "nothing" if number is None else f"{json.dumps(number['value'])} {number['unit']}".rstrip()
