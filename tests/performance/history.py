"""What a long history costs: recording into it, the window query over it, a changed limit."""

from __future__ import annotations

import time
from collections.abc import Iterator
from functools import partial
from itertools import islice
from statistics import median
from typing import TYPE_CHECKING

from tests.performance.sizes import LIST
from tests.performance.table import of_database, row
from tests.performance.timing import in_turns, ms, paired, seconds

if TYPE_CHECKING:
    from tests.performance.world import World

WINDOW = """
SELECT id, verdict FROM (
  SELECT id, verdict, row_number() OVER (
    PARTITION BY target_id, board_id, point ORDER BY taken_at DESC, recorded_at DESC, id DESC
  ) AS place FROM bench_measurement WHERE project_id = %s AND withdrawn_at IS NULL
) AS ordered WHERE place = 1
"""


def grow(world: World, seeds: Iterator[int], count: int) -> float:
    """Record that many lists more; return the median seconds of the last three."""
    from logbook.bench.commands import record_readings

    taken = []
    for seed in islice(seeds, count):
        items = world.readings(LIST, seed=seed)
        begun = time.perf_counter()
        record_readings(actor=world.actor, items=items)
        taken.append(time.perf_counter() - begun)
    return median(taken[-3:])


def recorded(early: float, late: float, vendor: str) -> None:
    """P7f: a list into the long history over one into the short one."""
    aim = of_database(vendor, sqlite="2", postgresql="1.3")
    what = f"a list of {LIST:,} into the long over the short history"
    row("P7f", what, ms(late), ms(early), f"{late / early:.2f}", aim)


def against_window(world: World, vendor: str) -> None:
    """P7d: the window query over the whole history, over the open risks of a revision."""
    from django.db import connection

    from logbook.planning.queries import open_risks_of

    def window() -> None:
        with connection.cursor() as cursor:
            cursor.execute(WINDOW, [world.project.pk])
            cursor.fetchall()

    found = in_turns(lambda: open_risks_of(world.revisions[2]), window, rounds=3)
    aim = of_database(vendor, sqlite=">= 1000", postgresql=">= 200")
    what = "the window query over all readings, over the open risks of a revision"
    row("P7d", what, ms(found.product), ms(found.floor), f"{1 / found.ratio:.1f}", aim)


def changed_limits(world: World) -> None:
    """P8: a target is issued anew, over a bare UPDATE of all its readings."""
    pairs = [
        (seconds(partial(_issue_anew, world, key)), seconds(partial(_update, world, key)))
        for key in world.targets[-4:]
    ]
    found = paired(pairs[1:])
    what = f"limits change: {_readings_of(world, world.targets[-1]):,} readings judged again, over an UPDATE"
    row("P8", what, ms(found.product), ms(found.floor), f"{found.ratio:.2f}", "2")


def _issue_anew(world: World, key: str) -> None:
    from logbook.bench.commands import issue_target
    from logbook.bench.commands.targets import Asked
    from logbook.bench.models import Target

    target = Target.objects.get(project=world.project, key=key)
    asked = Asked(limits="3.25..3.35 V")
    issue_target(actor=world.actor, target=target, asked=asked, reason="measured")


def _update(world: World, key: str) -> None:
    from django.db import connection, transaction

    statement = (
        "UPDATE bench_measurement SET verdict = 'fail', reason = 'measured', conformance_probability = 0.5"
        " WHERE target_id = (SELECT id FROM bench_target WHERE project_id = %s AND key = %s)"
    )
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, [world.project.pk, key])


def _readings_of(world: World, key: str) -> int:
    from logbook.bench.models import Measurement

    return Measurement.objects.filter(target__project=world.project, target__key=key).count()
