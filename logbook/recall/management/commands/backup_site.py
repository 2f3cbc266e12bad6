"""Writes the whole site to one file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser

from logbook.common.errors import DomainError
from logbook.common.faults import is_disk_full
from logbook.common.management.site_command import SiteCommand
from logbook.recall.backup.saving import back_up

NO_ROOM = "no backup was written: make room, or name a file on another disk than that of"


class Command(SiteCommand):
    """One thin door to the backup."""

    help = (
        "Write the whole site to one file: a snapshot of the database, all evidence, and their SHA-256. "
        "The site may go on meanwhile. The secret key is not in it. The file is whole or not there; an older "
        "one of that name is replaced. It holds all that anybody recorded, so keep it where few can read it."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file."""
        parser.add_argument("file", type=Path, help="the backup to write, such as logbook-2026-11-25.zip")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the backup."""
        try:
            done = back_up(options["file"])
        except (DomainError, OSError) as error:
            message = (
                f"the disk is full; {NO_ROOM} {options['file'].parent}" if is_disk_full(error) else error
            )
            raise CommandError(str(message)) from error
        counts = done.counts
        size = options["file"].stat().st_size / 1e6
        self.stdout.write(
            f"{options['file']}: {counts['projects.Project']} projects, "
            f"{counts['bench.Measurement']} readings, {len(done.files)} files, {size:.1f} MB"
        )
