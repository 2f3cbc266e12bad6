"""What the site counts, in the text form Prometheus reads.

Rule: labels come from closed lists (route templates, outcomes, names of jobs), never from what somebody
sent, so that nobody can fill the memory with names. Where several processes serve the site, each counts in
files of ``PROMETHEUS_MULTIPROC_DIR``, and whichever is asked adds them up.
"""

from __future__ import annotations

import os
from collections.abc import Iterator

from django.db.models import Count, Min, Q
from django.utils import timezone
from prometheus_client import (
    REGISTRY,
    CollectorRegistry,
    Counter,
    Histogram,
    disable_created_metrics,
    generate_latest,
)
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.multiprocess import MultiProcessCollector

from logbook.common.models import Job

CONTENT_TYPE = "text/plain; version=0.0.4; charset=utf-8"
BUCKETS_S = (0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0)

disable_created_metrics()  # type: ignore[no-untyped-call]
REQUESTS = Counter("logbook_requests", "Requests answered", ["method", "route", "status"])
REQUEST_SECONDS = Histogram(
    "logbook_request_seconds", "Seconds until the answer was ready", ["method", "route"], buckets=BUCKETS_S
)
READINGS = Counter("logbook_readings", "Readings sent, by what became of them", ["outcome"])
JOBS = Counter("logbook_jobs", "Attempts at background jobs, by how they ended", ["name", "outcome"])
JOB_SECONDS = Histogram(
    "logbook_job_seconds", "Seconds an attempt at a job took", ["name"], buckets=BUCKETS_S
)


class UnfinishedJobs:
    """Counts the jobs in the database at the moment somebody asks. One query over the unfinished ones."""

    def collect(self) -> Iterator[GaugeMetricFamily]:
        """Yield the jobs by state and the age of the oldest."""
        now = timezone.now()
        held = Q(leased_until__gte=now)
        found = Job.objects.filter(finished_at__isnull=True).aggregate(
            held=Count("pk", filter=held), all=Count("pk"), oldest=Min("asked_at")
        )
        jobs = GaugeMetricFamily("logbook_jobs_unfinished", "Background jobs not done yet", labels=["state"])
        jobs.add_metric(["held"], found["held"])
        jobs.add_metric(["waiting"], found["all"] - found["held"])
        yield jobs
        age = (now - found["oldest"]).total_seconds() if found["oldest"] else 0.0
        yield GaugeMetricFamily(
            "logbook_oldest_job_age_seconds", "Seconds since the oldest unfinished job was asked for", age
        )


def exposition() -> bytes:
    """Return everything counted so far by all processes, and the jobs as they stand. One query."""
    counted = REGISTRY
    if "PROMETHEUS_MULTIPROC_DIR" in os.environ:
        counted = CollectorRegistry()
        MultiProcessCollector(counted)  # type: ignore[no-untyped-call]
    asked_now = CollectorRegistry()
    asked_now.register(UnfinishedJobs())
    return generate_latest(counted) + generate_latest(asked_now)
