"""Reads an archive into this site."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser

from logbook.accounts.queries import user_named
from logbook.common.changes import Actor
from logbook.common.errors import DomainError
from logbook.common.management.site_command import SiteCommand
from logbook.recall.archive.importing import import_archive
from logbook.recall.archive.people import mapping_of


class Command(SiteCommand):
    """One thin door to the import."""

    help = (
        "Read an archive into this site. A damaged or hostile one is refused and changes nothing. People the "
        "archive names come in unable to sign in, unless --person says who they are here. Instruments and "
        "lessons that are here already stay as they are; what differs is said."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file, and who is who."""
        parser.add_argument("file", type=Path, help="the archive, as export wrote it")
        parser.add_argument(
            "--person",
            action="append",
            default=[],
            metavar="NAME=HERE",
            help="somebody the archive names who is a person of this site, such as iv=iv; may be repeated",
        )
        parser.add_argument("--owner", default="", help="the person who becomes an owner of the project here")

    def handle(self, *args: Any, **options: Any) -> None:
        """Read the archive."""
        try:
            owner = user_named(options["owner"], field="owner") if options["owner"] else None
            done = import_archive(
                actor=Actor(owner, "command"),
                path=options["file"],
                people=mapping_of(options["person"]),
                owner=owner,
            )
        except (DomainError, OSError) as error:
            raise CommandError(str(error)) from error
        for remark in done.remarks:
            self.stdout.write(f"note: {remark}")
        records = sum(done.counts.values())
        self.stdout.write(f"{done.project.slug}: {records} records came in")
