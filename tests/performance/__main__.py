"""Prints a table of ratios: the product against what the machine can do at all, both in the same run."""

from __future__ import annotations

import argparse
import dataclasses
from collections.abc import Iterator
from itertools import count
from typing import TYPE_CHECKING

from tests.performance import pages
from tests.performance.captures import captures
from tests.performance.crowd import crowd
from tests.performance.databases import own_database
from tests.performance.history import against_window, changed_limits, grow, recorded
from tests.performance.ingest import lists, two_clients
from tests.performance.memory import memory
from tests.performance.server import served
from tests.performance.singles import singles, survives_a_power_cut
from tests.performance.sizes import FULL, LIST, USUAL, Sizes
from tests.performance.table import head, row, table
from tests.performance.tolerances import tolerances
from tests.performance.verdicts import against_one_at_a_time, verdicts
from tests.performance.visits import signed_in, visits

if TYPE_CHECKING:
    from tests.performance.world import World

CORNERS = 20
ON_THE_SITE = ("P1", "P2", "P3", "P4", "P5", "P7", "P8", "P9")
SERVED = ("P1a", "P1c", "P1d", "P1e", "P2", "P3", "P4", "P9a", "P9c", "P9d", "P9e")


def main() -> None:
    """Measure the goals asked for in a throw-away database, print the table, clean up."""
    parser = argparse.ArgumentParser(prog="make bench", description=__doc__)
    parser.add_argument("--only", default="", help="goals to measure, such as P4,P9c; all where left out")
    parser.add_argument("--full", action="store_true", help=f"{FULL.grown:,} readings, more of everything")
    for field in dataclasses.fields(Sizes):
        parser.add_argument(f"--{field.name.replace('_', '-')}", type=int, help="see sizes.py")
    given = vars(parser.parse_args())
    table.only = tuple(goal for goal in given.pop("only").replace(" ", "").split(",") if goal)
    usual = FULL if given.pop("full") else USUAL
    sizes = dataclasses.replace(usual, **{name: value for name, value in given.items() if value})
    head()
    _computed(sizes)
    if table.wants(*ON_THE_SITE):
        with own_database():
            _on_the_site(sizes)
    table.end()


def _computed(sizes: Sizes) -> None:
    """Measure what needs no database."""
    table.measure(("P6a",), verdicts, 1_000_000)
    table.measure(("P6b",), against_one_at_a_time, 2_000)
    table.measure(("P10",), captures, sizes.capture)
    table.measure(("P11",), tolerances, CORNERS)


def _on_the_site(sizes: Sizes) -> None:
    """Measure the site while its history grows, then over HTTP with the long one."""
    # Sets the site up as a server does.
    import logbook.conf.wsgi

    assert logbook.conf.wsgi.application
    from django.core.management import call_command
    from django.db import connection

    from tests.performance.world import add_history, build_world

    call_command("migrate", verbosity=0)
    row("", f"on {connection.vendor}, {sizes.readings:,} and {sizes.grown:,} readings", "", "", "", "")
    # Each list was taken after the one before it.
    seeds = count()
    few = _seen_small(seeds) if table.wants("P7c") else None
    world = build_world("large")
    grow(world, seeds, 2)
    add_history(sizes.readings - 2 * LIST)
    early = grow(world, seeds, 3) if table.wants("P7f") else 0.0
    shown = table.wants("P7a", "P7c", "P9b")
    small = pages.seen(world) if shown else None
    add_history(sizes.grown - sizes.readings)
    if small is not None:
        large = pages.seen(world)
        pages.compare(small, large, sizes.readings, sizes.grown)
        for name, asked in few.queries.items() if few else ():
            many = str(large.queries[name])
            row("P7c", f"{name}: queries at {len(world.targets)} and at 10 targets", many, str(asked), "",
                "equal")  # fmt: skip
    if table.wants("P7f"):
        recorded(early, grow(world, seeds, 3), connection.vendor)
    if table.wants("P7d"):
        against_window(world, connection.vendor)
    if table.wants("P8"):
        changed_limits(world)
    if table.wants("P4c"):
        survives_a_power_cut()
    _over_http(sizes, world, seeds)


def _seen_small(seeds: Iterator[int]) -> pages.Seen:
    """Return what the pages of a project of ten targets ask."""
    from logbook.bench.commands import record_readings
    from tests.performance.world import build_world

    small = build_world("small", targets=10)
    # As many a cell as the large project has.
    record_readings(actor=small.actor, items=small.readings(LIST * 2 // 30, seed=next(seeds)))
    return pages.seen(small)


def _over_http(sizes: Sizes, world: World, seeds: Iterator[int]) -> None:
    """Measure through gunicorn: one worker with one thread, then two of four for many clients."""
    from django.db import connection

    from logbook.accounts.commands import create_token

    _, token = create_token(user=world.user, name="bench", scopes=["read", "record"], actor=world.actor)
    vendor, session = connection.vendor, signed_in(world.user)
    connection.close()
    if table.wants(*SERVED):
        with served(token) as site:
            visited = (site, world, session, sizes.rounds * 7, vendor)
            table.measure(("P9a", "P9c", "P9d", "P9e"), visits, *visited)
            listed = ("P1a", "P1c", "P1d", "P1e", "P2")
            table.measure(listed, lists, site, world, sizes.rounds, seeds, vendor)
            table.measure(("P4a", "P4b"), singles, site, world, sizes.posts, seeds)
            table.measure(("P3",), memory, site, world, sizes.memory_lists, seeds)
    if table.wants("P1b", "P5"):
        with served(token, workers=2, threads=4) as site:
            table.measure(("P1b",), two_clients, site, world, seeds, vendor)
            table.measure(("P5",), crowd, site, world, sizes.each_client, seeds, vendor)


if __name__ == "__main__":
    main()
