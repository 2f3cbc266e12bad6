"""Check that everything kept equals a recomputation from the history."""

from __future__ import annotations

from typing import Any

from django.core.management.base import CommandError, CommandParser

from logbook.bench.models import Measurement
from logbook.bench.queries.verification import discrepancies_of
from logbook.common.management.site_command import SiteCommand
from logbook.evidence.queries import altered_files_of
from logbook.projects.models import Project


class Command(SiteCommand):
    help = (
        "Recompute current results, failing spans, trials and verdicts from the recorded readings and "
        "compare them with what is kept; hash every file of evidence. Changes nothing. "
        "Ends with an error when anything differs."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("projects", nargs="*", help="short names of projects; all when left out")

    def handle(self, *args: Any, **options: Any) -> None:
        projects = Project.objects.order_by("slug")
        if options["projects"]:
            projects = projects.filter(slug__in=options["projects"])
            unknown = set(options["projects"]) - set(projects.values_list("slug", flat=True))
            if unknown:
                message = f"no project {', '.join(sorted(unknown))}"
                raise CommandError(message)
        found = 0
        for project in projects:
            for discrepancy in (*discrepancies_of(project), *altered_files_of(project)):
                found += 1
                self.stdout.write(f"{project.slug}: {discrepancy}")
        readings = Measurement.objects.filter(project__in=projects).count()
        if found:
            message = f"{found} differences in {readings} readings"
            raise CommandError(message)
        self.stdout.write(f"{projects.count()} projects, {readings} readings: everything agrees")
