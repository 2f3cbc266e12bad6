"""Writes one project to an archive."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser

from logbook.common.errors import DomainError
from logbook.common.management.site_command import SiteCommand
from logbook.projects.models import Project
from logbook.recall.archive.exporting import export_project


class Command(SiteCommand):
    """One thin door to the export."""

    help = (
        "Write one project to an archive: every record with its history, the files of evidence as they were "
        "given, and pages that open from disk in any browser. Photos may say where they were taken. "
        "The file is whole or not there; an older one of that name is replaced."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the project and the file."""
        parser.add_argument("project", help="short name of the project, such as saltlark")
        parser.add_argument("file", type=Path, help="the archive to write, such as saltlark.zip")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the archive."""
        project = Project.objects.filter(slug=options["project"]).first()
        if project is None:
            message = f"no project {options['project']!r}"
            raise CommandError(message)
        try:
            done = export_project(project=project, path=options["file"])
        except (DomainError, OSError) as error:
            raise CommandError(str(error)) from error
        records = sum(done.counts.values())
        self.stdout.write(f"{done.path}: {records} records and {done.files} files, content {done.content}")
