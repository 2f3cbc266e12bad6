"""``manage.py import_readings``: readings from a CSV file, through the same door as the page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser

from logbook.accounts.models import User
from logbook.bench.commands.importing import COLUMNS, ImportedRow, ImportReport, import_readings
from logbook.common.changes import Actor
from logbook.common.errors import DomainError
from logbook.common.management.site_command import SiteCommand
from logbook.projects.queries import project_for


class Command(SiteCommand):
    help = (
        "Record the readings of a CSV file on a project. The first line names the columns: "
        f"{', '.join(COLUMNS)}; board and value are required, and each row needs a key or taken_at. "
        "Good rows are stored, bad ones are listed with line, field and what is allowed. "
        "Importing the same file again stores nothing twice."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("project", help="slug of the project, such as saltlark")
        parser.add_argument("file", type=Path, help="the file, UTF-8 or Latin-1; comma, semicolon or tab")
        parser.add_argument("--user", required=True, help="name of the person who records the readings")

    def handle(self, *args: Any, **options: Any) -> None:
        report = _imported(options["project"], options["file"], options["user"])
        for row in report.rejected:
            self.stderr.write(_complaint(row))
        if report.ignored:
            self.stdout.write(f"Columns nothing was read from: {', '.join(report.ignored)}")
        self.stdout.write(
            f"{len(report.stored)} stored, {len(report.duplicates)} already there, "
            f"{len(report.rejected)} rejected"
        )
        if report.rejected:
            raise CommandError(f"{len(report.rejected)} rows were rejected; the others are stored")


def _imported(slug: str, file: Path, name: str) -> ImportReport:
    user = User.objects.filter(username=name, is_active=True).first()
    if user is None:
        raise CommandError(f"no active person {name!r} on this site")
    try:
        project = project_for(user, slug, may="record")
        return import_readings(actor=Actor(user, "csv"), project=project, data=file.read_bytes())
    except (DomainError, OSError) as error:
        raise CommandError(str(error)) from error


def _complaint(row: ImportedRow) -> str:
    error = row.result.error
    if error is None or not error.problems:
        return f"line {row.line}: {error}"
    return "\n".join(
        f"line {row.line}, {problem.field}: {problem.message}"
        + (f"; given {problem.given!r}" if problem.given else "")
        + (f"; allowed: {problem.allowed}" if problem.allowed else "")
        for problem in error.problems
    )
