"""One reading a request."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median
from typing import TYPE_CHECKING

from tests.performance.floors import bare_single, stored_rows
from tests.performance.sending import PATH, sent_of
from tests.performance.table import row
from tests.performance.timing import ms, percentile

if TYPE_CHECKING:
    from tests.performance.server import Site
    from tests.performance.world import World


def singles(site: Site, world: World, count: int, seeds: Iterator[int]) -> None:
    """P4a and P4b: against an empty view and a bare insert with its commit, in turns."""
    client = site.bench()
    client.post(PATH, sent_of(world, 1, seed=next(seeds))[0])
    columns, rows = stored_rows(count)
    posts, empties, inserts = [], [], []
    for sent, bare in zip(sent_of(world, count, seed=next(seeds)), rows, strict=True):
        posts.append(client.post(PATH, sent, expect=(201,)).seconds)
        empties.append(client.post("/empty/", sent).seconds)
        inserts.append(bare_single(columns, bare))
    floor, product = median(empties) + median(inserts), median(posts)
    what = "one reading over HTTP, over an empty view and a bare insert"
    row("P4a", f"{what}, median", ms(product), ms(floor), f"{product / floor:.1f}", "1.8")
    floor, product = percentile(empties, 0.99) + percentile(inserts, 0.99), percentile(posts, 0.99)
    row("P4b", f"{what}, 99 of 100", ms(product), ms(floor), f"{product / floor:.1f}", "2.5")


def survives_a_power_cut() -> None:
    """P4c: what the site sets up, for P4a and P4b were measured with it."""
    from django.db import connection

    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SHOW synchronous_commit")
            row("P4c", "an answered reading is on the disk: synchronous_commit", *cursor.fetchone(), "on", "",
                "equal")  # fmt: skip
            return
        cursor.execute("PRAGMA synchronous")
        (level,) = cursor.fetchone()
    words = {0: "OFF", 1: "NORMAL", 2: "FULL", 3: "EXTRA"}
    row("P4c", "an answered reading is on the disk: synchronous", words[level], "FULL", "", "equal")
