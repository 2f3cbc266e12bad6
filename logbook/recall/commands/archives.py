"""Writes to the archives that were asked for."""

from __future__ import annotations

from django.db import transaction

from logbook.common import clock, jobs
from logbook.common.changes import Actor, note_change
from logbook.projects.models import Project
from logbook.recall.archive.exporting import Exported
from logbook.recall.archive.shelf import drop_archive
from logbook.recall.choices import EXPORT_ARCHIVE, ExportState
from logbook.recall.models import Export

AT_WORK = (ExportState.WAITING, ExportState.RUNNING)


@transaction.atomic
def ask_export(*, actor: Actor, project: Project) -> Export:
    """Ask for an archive of a project; one that is being written already is returned instead."""
    list(Project.objects.select_for_update().filter(pk=project.pk).values_list("pk"))
    at_work = Export.objects.filter(project=project, state__in=AT_WORK).first()
    if at_work is not None:
        return at_work
    export = Export(project=project, asked_at=clock.now(), asked_by=actor.user)
    export.save(force_insert=True)
    # Not under the project: that an archive was written is no part of what it holds.
    note_change(export, action="asked for", actor=actor, project_id=0, fields={})
    jobs.enqueue(name=EXPORT_ARCHIVE, subject_id=export.pk)
    return export


def note_export_progress(*, hold: jobs.Hold, percent: int) -> None:
    """Say how far an archive is, and keep the hold on it."""
    hold.renew()
    Export.objects.filter(pk=hold.subject_id).update(state=ExportState.RUNNING, progress=percent)


def store_export(*, hold: jobs.Hold, export: Export, exported: Exported) -> None:
    """Store that an archive is ready; the files of earlier ones of the project are taken away."""
    with transaction.atomic():
        hold.renew()
        earlier = Export.objects.filter(project=export.project_id, is_kept=True).exclude(pk=export.pk)
        gone = list(earlier.values_list("pk", flat=True))
        earlier.update(is_kept=False)
        Export.objects.filter(pk=export.pk).update(
            state=ExportState.DONE,
            progress=100,
            records=sum(exported.counts.values()),
            files=exported.files,
            size=exported.path.stat().st_size,
            content_sha256=exported.content,
            is_kept=True,
            finished_at=clock.now(),
        )
    for number in gone:
        drop_archive(number)


def fail_export(*, hold: jobs.Hold, problem: str) -> None:
    """Store why there is no archive."""
    hold.renew()
    give_up_export(hold.subject_id, problem)


def give_up_export(export_id: int, problem: str) -> None:
    """Store that an archive was not written."""
    Export.objects.filter(pk=export_id).update(
        state=ExportState.FAILED, problem=problem[:500], finished_at=clock.now()
    )
