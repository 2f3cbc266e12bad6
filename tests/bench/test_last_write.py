"""The last write, by which stale answers are told: in whatever order writes become visible."""

from __future__ import annotations

import threading

import pytest
from django.db import connection, transaction

from logbook.bench.commands import withdraw_measurement
from logbook.bench.queries.last_write import last_write
from logbook.projects.commands import add_subsystem
from tests.builders import Bench, build_bench
from tests.marks import tries


def test_a_change_and_a_reading_and_its_withdrawal_change_it(bench: Bench):
    bench.target()
    seen = [last_write()]
    add_subsystem(actor=bench.actor, project=bench.project, key="CLK", name="clocks", kind="clocks")
    seen.append(last_write())
    reading = bench.read("3.3 V")
    seen.append(last_write())
    withdraw_measurement(actor=bench.actor, measurement=reading, because="wrong probe")
    seen.append(last_write())
    assert len(set(seen)) == len(seen)


def test_it_stays_while_nothing_is_written(bench: Bench):
    bench.target()
    assert any(last_write() == last_write() for _ in range(tries()))


@pytest.mark.postgres
@pytest.mark.xdist_group("races")
@pytest.mark.django_db(transaction=True)
def test_an_earlier_id_that_is_committed_later_changes_it():
    if connection.vendor != "postgresql":
        pytest.skip("needs PostgreSQL: set DATABASE_URL; SQLite lets one writer in at a time")
    bench, other = build_bench(), build_bench("heron")
    has_id, may_commit = threading.Event(), threading.Event()

    def write_slowly() -> None:
        with transaction.atomic():
            add_subsystem(actor=bench.actor, project=bench.project, key="CLK", name="c", kind="clocks")
            has_id.set()
            may_commit.wait(timeout=20)
        connection.close()

    slow = threading.Thread(target=write_slowly)
    slow.start()
    assert has_id.wait(timeout=20)
    add_subsystem(actor=other.actor, project=other.project, key="MEM", name="m", kind="memory")
    before = last_write()
    may_commit.set()
    slow.join()
    assert last_write()[:4] == before[:4]  # the ids alone would not tell
    assert last_write() != before
