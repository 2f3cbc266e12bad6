"""Preparing pictures and analysing captures."""

from __future__ import annotations

from logbook.common.errors import DomainError
from logbook.common.jobs import Hold
from logbook.core.errors import CoreError
from logbook.evidence import images, levels, storage
from logbook.evidence.choices import AnalysisState
from logbook.evidence.commands.files import note_progress, refuse_analysis, store_numbers
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.numbers import numbers_of
from logbook.evidence.traces import capture_of, drawn_of

READ, DRAWN, COUNTED = 20, 60, 90


def analyse(hold: Hold) -> None:
    """Find the numbers of a capture and lay its levels beside it; done once, however often it is called."""
    analysis = Analysis.objects.select_related("evidence").get(pk=hold.subject_id)
    if analysis.state in {AnalysisState.DONE, AnalysisState.REFUSED}:
        return
    evidence = analysis.evidence
    note_progress(hold=hold, percent=0)
    try:
        capture = capture_of(evidence.kind, original_of(evidence), analysis.parameters)
        note_progress(hold=hold, percent=READ)
        for drawn, traces in drawn_of(capture):
            storage.write_beside(evidence.sha256, levels.SUFFIXES[drawn], levels.packed(traces))
        note_progress(hold=hold, percent=DRAWN)
        found = numbers_of(capture, analysis.parameters)
        note_progress(hold=hold, percent=COUNTED)
    except CoreError as error:
        refuse_analysis(hold=hold, problem=_said(error))
    except DomainError as error:
        refuse_analysis(hold=hold, problem=error.message)
    else:
        store_numbers(hold=hold, numbers=found.numbers, statements=found.statements)


def prepare_picture(hold: Hold) -> None:
    """Make the versions of a picture that are shown."""
    evidence = Evidence.objects.get(pk=hold.subject_id)
    for suffix, data in images.versions_of(storage.original(evidence.sha256)):
        storage.write_beside(evidence.sha256, suffix, data)
        hold.renew()


def note_no_picture(_evidence_id: int, _problem: str) -> None:
    """A picture that cannot be prepared stays as it was given; its page shows the problem of the job."""


def original_of(evidence: Evidence) -> bytes:
    """Return the bytes as they were given, having made sure that they still are."""
    if not storage.is_intact(evidence.sha256):
        message = "the stored file is no longer what was given: its SHA-256 differs"
        raise DomainError(message)
    return storage.original(evidence.sha256).read_bytes()


def _said(error: CoreError) -> str:
    return f"{error.message} Allowed: {error.allowed}." if error.allowed else error.message
