"""Background work on archives: writing them, and making again what they do not hold."""

from __future__ import annotations

from logbook.common.errors import DomainError
from logbook.common.jobs import Hold
from logbook.evidence import levels, storage
from logbook.evidence.jobs import original_of
from logbook.evidence.models import Analysis
from logbook.evidence.traces import capture_of, drawn_of
from logbook.recall.archive.exporting import export_project
from logbook.recall.archive.shelf import archive_path
from logbook.recall.choices import ExportState
from logbook.recall.commands import fail_export, note_export_progress, store_export
from logbook.recall.models import Export


def export_archive(hold: Hold) -> None:
    """Write an archive that was asked for; done once, however often it is called."""
    export = Export.objects.select_related("project").get(pk=hold.subject_id)
    if export.state in {ExportState.DONE, ExportState.FAILED}:
        return
    note_export_progress(hold=hold, percent=0)
    try:
        exported = export_project(
            project=export.project,
            path=archive_path(export.pk),
            progress=lambda percent: note_export_progress(hold=hold, percent=percent),
        )
    except DomainError as error:
        fail_export(hold=hold, problem=error.message)
    else:
        store_export(hold=hold, export=export, exported=exported)


def lay_levels(hold: Hold) -> None:
    """Make again what is drawn of a capture whose numbers came in with an archive."""
    analysis = Analysis.objects.select_related("evidence").get(pk=hold.subject_id)
    evidence = analysis.evidence
    capture = capture_of(evidence.kind, original_of(evidence), analysis.parameters)
    for drawn, traces in drawn_of(capture):
        hold.renew()
        storage.write_beside(evidence.sha256, levels.SUFFIXES[drawn], levels.packed(traces))


def note_no_levels(_analysis_id: int, _problem: str) -> None:
    """The numbers stand all the same; the page of the capture says that nothing can be drawn."""
