"""What Prometheus reads: in its own text form, and true to what happened."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone
from prometheus_client.parser import text_string_to_metric_families

from logbook.common import jobs, metrics
from logbook.common.models import Job

pytestmark = pytest.mark.django_db


def read() -> dict[str, float]:
    """Return the samples, read by the reference reader of the format."""
    families = text_string_to_metric_families(metrics.exposition().decode())
    return {
        f"{one.name}{sorted(one.labels.items())}": one.value for family in families for one in family.samples
    }


def test_unfinished_jobs_are_counted_by_state_with_the_age_of_the_oldest() -> None:
    now = timezone.now()
    minute = timedelta(minutes=1)
    Job.objects.create(name="a", subject_id=1, asked_at=now - 5 * minute, finished_at=now)
    Job.objects.create(name="a", subject_id=2, asked_at=now - 2 * minute, leased_until=now + minute)
    Job.objects.create(name="a", subject_id=3, asked_at=now - minute, leased_until=now - minute)
    Job.objects.create(name="a", subject_id=4, asked_at=now)
    found = read()
    assert found["logbook_jobs_unfinished[('state', 'held')]"] == 1
    assert found["logbook_jobs_unfinished[('state', 'waiting')]"] == 2
    assert found["logbook_oldest_job_age_seconds[]"] == pytest.approx(120, abs=10)


def test_no_job_has_no_age() -> None:
    assert read()["logbook_oldest_job_age_seconds[]"] == 0


@pytest.mark.parametrize("outcome", ["done", "failed"])
def test_attempts_at_jobs_are_counted_by_how_they_ended(
    outcome: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def work(hold: jobs.Hold) -> None:
        if outcome == "failed":
            raise OSError

    monkeypatch.setattr(jobs, "_registered", {})
    jobs.register("counted", work, lambda subject_id, problem: None)
    name = f"logbook_jobs_total[('name', 'counted'), ('outcome', '{outcome}')]"
    before = read().get(name, 0)
    jobs.run_job(jobs.enqueue(name="counted", subject_id=1).pk)
    assert read()[name] == before + 1


def test_asking_costs_one_query(django_assert_num_queries: object) -> None:
    with django_assert_num_queries(1):  # type: ignore[operator]
        metrics.exposition()
