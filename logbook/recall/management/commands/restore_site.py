"""Puts a backup back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from logbook.common.errors import DomainError
from logbook.recall.backup.restoring import restore


class Command(BaseCommand):
    """One thin door to restoring; it needs no tables, because it brings them."""

    requires_system_checks: list[str] = []
    help = (
        "Put a backup back into this site, migrate it where it is of an older version, and verify it. "
        "Every file of the backup is held against its SHA-256 before anything is changed. "
        "Stop the site first. Restore only a backup you made yourself: it decides everything in the site."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file, and whether what is here may go."""
        parser.add_argument("file", type=Path, help="the backup, as backup_site wrote it")
        parser.add_argument(
            "--replace", action="store_true", help="replace the database of a site that is not empty"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Restore, migrate, verify."""
        try:
            done = restore(options["file"], replace=options["replace"])
        except (DomainError, OSError) as error:
            raise CommandError(str(error)) from error
        manifest = done.manifest
        self.stdout.write(
            f"restored the backup of {manifest.made_at}: {len(manifest.files)} files, "
            f"{len(manifest.members)} checksums agreed"
        )
        if done.migrations:
            self.stdout.write(f"it is of an older version: applying {done.migrations} migrations")
            call_command("migrate", verbosity=0)
        call_command("verify", stdout=self.stdout)
