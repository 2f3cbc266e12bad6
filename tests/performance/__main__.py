"""Prints a table of ratios: the product against the raw database, and derived pages as history grows."""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import tempfile
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.performance.world import World


def main() -> None:
    """Build a large project in a throw-away folder, measure, print, clean up."""
    parser = argparse.ArgumentParser(prog="make bench", description=__doc__)
    parser.add_argument("--readings", type=int, default=10_000, help="size of the first history")
    parser.add_argument("--growth", type=int, default=4, help="how many times the history grows")
    given = parser.parse_args()
    folder = tempfile.mkdtemp(prefix="logbook-bench-")
    os.environ["LOGBOOK_DATA"] = folder
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "logbook.conf.settings")
    try:
        _measure(given.readings, given.growth)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _measure(readings: int, growth: int) -> None:
    import django

    django.setup()
    from django.core.management import call_command

    from tests.performance.world import build_world

    call_command("migrate", verbosity=0)
    world = build_world()
    _row("what", "product", "beside it", "ratio")
    _ingest(world, readings)
    small = _derived(world)
    for part in range(1, growth):
        _record(world, readings, seed=part)
    large = _derived(world)
    for name in small:
        _row(
            f"{name}, {readings * growth} over {readings} readings",
            f"{large[name] * 1e3:.0f} ms",
            f"{small[name] * 1e3:.0f} ms",
            f"{large[name] / small[name]:.2f}",
        )


def _ingest(world: World, readings: int) -> None:
    """Compare a list of readings, everything on, with bare inserts of the same rows."""
    stored = _record(world, readings, seed=0)
    bare = _bare_inserts(readings)
    _row(
        f"list of {readings} readings against bare inserts of the rows",
        f"{readings / stored:.0f} rows/s",
        f"{readings / bare:.0f} rows/s",
        f"{bare / stored:.3f}",
    )
    replay = _record(world, readings, seed=0)
    _row("the same list again", f"{readings / replay:.0f} rows/s", "the first time", f"{stored / replay:.1f}")


def _record(world: World, readings: int, *, seed: int) -> float:
    from logbook.bench.commands import record_readings

    items = world.readings(readings, seed=seed)
    begun = time.perf_counter()
    record_readings(actor=world.actor, items=items)
    return time.perf_counter() - begun


def _bare_inserts(count: int) -> float:
    """Insert copies of stored rows with one prepared statement, then take them back."""
    from django.db import connection, transaction

    from logbook.bench.models import Measurement

    fields = [field for field in Measurement._meta.local_fields if not field.primary_key]
    rows = list(Measurement.objects.order_by("pk").values_list(*[f.attname for f in fields])[:count])
    place = [field.attname for field in fields].index("key")
    values = [
        [
            f"bare-{number}" if index == place else field.get_db_prep_save(value, connection)
            for index, (field, value) in enumerate(zip(fields, row, strict=True))
        ]
        for number, row in enumerate(rows)
    ]
    names = ", ".join(f'"{field.column}"' for field in fields)
    marks = ", ".join(["%s"] * len(fields))
    statement = f"INSERT INTO {Measurement._meta.db_table} ({names}) VALUES ({marks})"
    with transaction.atomic(), connection.cursor() as cursor:
        begun = time.perf_counter()
        cursor.executemany(statement, values)
        taken = time.perf_counter() - begun
        transaction.set_rollback(True)
    return taken


def _derived(world: World) -> dict[str, float]:
    """Return the seconds of each derived page's query, the median of five."""
    from logbook.boards.models import Board
    from logbook.planning.queries import bench_lines_of, coverage_of, open_risks_of

    revision = world.revisions[2]
    board = Board.objects.get(project=world.project, serial=world.boards[2])
    return {
        "coverage": _median(lambda: coverage_of(revision)),
        "open risks": _median(lambda: open_risks_of(revision)),
        "bench lines": _median(lambda: bench_lines_of(board)),
    }


def _median(work: Callable[[], object]) -> float:
    times = []
    for _ in range(5):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return statistics.median(times)


def _row(what: str, product: str, beside: str, ratio: str) -> None:
    print(f"{what:<62} {product:>14} {beside:>14} {ratio:>8}")  # noqa: T201


if __name__ == "__main__":
    main()
