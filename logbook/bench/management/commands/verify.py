"""Check that everything kept equals a recomputation from the history."""

from __future__ import annotations

from collections import Counter
from typing import Any

from django.core.management.base import CommandError, CommandParser

from logbook.bench.models import Measurement
from logbook.bench.queries.verification import (
    CELL,
    LIMITS,
    SPAN,
    TRIAL,
    UNCERTAINTY,
    VERDICT,
    discrepancies_of,
)
from logbook.common.management.site_command import SiteCommand
from logbook.common.verification import Discrepancy, LookedAt
from logbook.evidence.queries import evidence_discrepancies_of
from logbook.evidence.queries.verification import FILE, NUMBER
from logbook.projects.models import Project

CHECKS = {
    VERDICT: "judged again by the issue the reading was judged by",
    UNCERTAINTY: "worked out anew from instrument and repeats",
    LIMITS: "read again from their text",
    CELL: "derived anew from all readings",
    SPAN: "derived anew from all readings",
    TRIAL: "derived anew from all readings",
    FILE: "hashed and held against its SHA-256",
    NUMBER: "found anew in the file",
}


class Command(SiteCommand):
    help = (
        "Recompute current results, failing spans, trials, limits, verdicts and uncertainties from the "
        "recorded readings and compare them with what is kept; hash every file of evidence and find the "
        "numbers of captures anew. Changes nothing. Ends with an error when anything differs."
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
        looked_at, differing = LookedAt(), Counter[str]()
        for project in projects:
            for found in _differences_in(project, looked_at):
                differing[found.kind] += 1
                self.stdout.write(f"{project.slug}: {found}")
        self._write_table(looked_at, differing)
        readings = Measurement.objects.filter(project__in=projects).count()
        if differing:
            message = f"{differing.total()} differences in {readings} readings"
            raise CommandError(message)
        self.stdout.write(f"{projects.count()} projects, {readings} readings: everything agrees")

    def _write_table(self, looked_at: LookedAt, differing: Counter[str]) -> None:
        for name, how in CHECKS.items():
            self.stdout.write(f"{name:<20}{looked_at[name]:>9} looked at{differing[name]:>7} differ   {how}")


def _differences_in(project: Project, looked_at: LookedAt) -> list[Discrepancy]:
    return [*discrepancies_of(project, looked_at), *evidence_discrepancies_of(project, looked_at)]
