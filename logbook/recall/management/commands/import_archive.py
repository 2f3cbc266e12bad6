"""Reads an archive into this site."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser

from logbook.accounts.queries import user_named
from logbook.common.changes import Actor
from logbook.common.errors import DomainError
from logbook.common.management.site_command import SiteCommand
from logbook.recall.archive.importing import Imported, import_archive
from logbook.recall.archive.people import PeopleTakenError, mapping_of


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
        people, file = options["person"], options["file"]
        try:
            owner = user_named(options["owner"], field="owner") if options["owner"] else None
            who = mapping_of(people)
            with file.open("rb") as stream:
                done = import_archive(actor=Actor(owner, "command"), path=stream, people=who, owner=owner)
        except DomainError as error:
            raise CommandError(_told(error)) from error
        except OSError as error:
            message = f"the archive {file} cannot be read: {error.strerror or error}"
            raise CommandError(message) from error
        for line in _came_in(done, who):
            self.stdout.write(line)
        if owner is None:
            self.stdout.write("nobody can see it yet: --owner NAME would have named somebody who can")


def _told(error: DomainError) -> str:
    """Return what was given, what is allowed, and how to say who is who."""
    told = [str(error)]
    for problem in error.problems:
        given = f"given {problem.given!r}" if problem.given else ""
        allowed = f"allowed: {problem.allowed}" if problem.allowed else ""
        told += [f"{problem.field}: {'; '.join(filter(None, (given, allowed)))}"] if given or allowed else []
    if isinstance(error, PeopleTakenError):
        same = " ".join(f"--person {name}={name}" for name in error.names)
        told.append(f"where they are the same people, run it again with {same}")
        told.append(f"where somebody is another one here, with --person {error.names[0]}=THEIR NAME HERE")
    return "\n".join(told)


def _came_in(done: Imported, who: Mapping[str, str]) -> Iterator[str]:
    """Return the counts of what came in, type by type, and who may not sign in."""
    yield f"{done.project.slug}: {sum(done.counts.values())} records came in"
    for name, count in done.counts.items():
        if count:
            yield f"{count:>8} {name.replace('-', ' ')}"
    new = [name for name in done.people if name not in who]
    if new:
        yield f"named only, unable to sign in: {', '.join(new)}"
    yield from (f"note: {remark}" for remark in done.remarks)
