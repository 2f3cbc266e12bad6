"""Prints a table of ratios: the product against the raw database, and derived pages as history grows."""

from __future__ import annotations

import argparse
import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from itertools import count, islice
from typing import TYPE_CHECKING

from tests.performance import pages
from tests.performance.ingest import lists, singles
from tests.performance.server import served
from tests.performance.table import row
from tests.performance.verdicts import verdicts

if TYPE_CHECKING:
    from tests.performance.world import World

FULL = 1_000_000
LIST = 5_000


def main() -> None:
    """Build a large project in a throw-away folder, measure, print, clean up."""
    parser = argparse.ArgumentParser(prog="make bench", description=__doc__)
    parser.add_argument("--readings", type=int, default=10_000, help="size of the short history")
    parser.add_argument("--grown", type=int, default=100_000, help="size of the long history")
    parser.add_argument("--full", action="store_true", help=f"a long history of {FULL:,} readings")
    parser.add_argument("--rounds", type=int, default=3, help="how often a list is measured")
    parser.add_argument("--posts", type=int, default=60, help="how many single readings are measured")
    given = parser.parse_args()
    folder = tempfile.mkdtemp(prefix="logbook-bench-")
    os.environ["LOGBOOK_DATA"] = folder
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.performance.settings"
    try:
        _measure(given.readings, FULL if given.full else given.grown, given.rounds, given.posts)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _measure(readings: int, grown: int, rounds: int, posts: int) -> None:
    """Measure in an order in which the history grows from ``readings`` to ``grown``."""
    # Sets the site up as a server does.
    import logbook.conf.wsgi

    assert logbook.conf.wsgi.application
    from django.core.management import call_command
    from django.db import connection

    from logbook.accounts.commands import create_token
    from tests.performance.world import add_history, build_world

    call_command("migrate", verbosity=0)
    row("goal", f"what ({connection.vendor})", "product", "floor", "ratio", "aim")
    verdicts(200_000)
    world = build_world()
    # Each list was taken after the one before it.
    seeds = count()
    early = _grow(world, seeds, readings)
    small = pages.seen(world)
    add_history(grown - readings)
    pages.compare(small, pages.seen(world), readings, grown)
    late = _grow(world, seeds, LIST)
    took, before = f"{late * 1e3:.0f} ms", f"{early * 1e3:.0f} ms"
    what = f"a list of {LIST} into the long over the short history"
    row("P7f", what, took, before, f"{late / early:.2f}", "2 / 1.3")
    _, token = create_token(user=world.user, name="bench", scopes=["record"], actor=world.actor)
    connection.close()
    with served(token) as client:
        lists(client, world, LIST, rounds, seeds)
        singles(client, world, posts, seeds)


def _grow(world: World, seeds: Iterator[int], readings: int) -> float:
    """Record that many readings more; return the seconds of the last list."""
    from logbook.bench.commands import record_readings

    taken = 0.0
    for seed in islice(seeds, max(readings // LIST, 1)):
        items = world.readings(LIST, seed=seed)
        begun = time.perf_counter()
        record_readings(actor=world.actor, items=items)
        taken = time.perf_counter() - begun
    return taken


if __name__ == "__main__":
    main()
