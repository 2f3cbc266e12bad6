"""Lists over HTTP against bare inserts of the same rows, a plain build, and the same lists again."""

from __future__ import annotations

import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from statistics import median
from typing import TYPE_CHECKING

from tests.performance.floors import bare_list
from tests.performance.sending import PATH, sent_of
from tests.performance.server import encoded
from tests.performance.sizes import LIST, SHORT_LIST
from tests.performance.table import of_database, row, table

if TYPE_CHECKING:
    from tests.performance.server import Client, Site
    from tests.performance.world import World

PLAIN_LIST = 200


def lists(site: Site, world: World, rounds: int, seeds: Iterator[int], vendor: str) -> None:
    """P1a or P1c, P1d, P1e and P2."""
    client = site.bench()
    client.post(PATH, sent_of(world, LIST, seed=next(seeds)))
    each = _shares(client, world, LIST, rounds, seeds)
    goal = "P1a" if vendor == "postgresql" else "P1c"
    _share_row(goal, LIST, each, of_database(vendor, sqlite=">= 0.33", postgresql=">= 0.50"))
    if table.wants("P1d"):
        short = _shares(client, world, SHORT_LIST, rounds * 2, seeds)
        aim = of_database(vendor, sqlite=">= 0.22", postgresql=">= 0.36")
        _share_row("P1d", SHORT_LIST, short, aim)
    if table.wants("P1e"):
        _against_plain(client, world, rounds, seeds)
    if table.wants("P2"):
        _again(client, world, rounds, seeds)


def two_clients(site: Site, world: World, seeds: Iterator[int], vendor: str) -> None:
    """P1b: two scripts at two workers, with the floor before and after them."""
    pairs = []
    clients = [site.bench(), site.bench()]
    for turn in range(4):
        bodies = [[encoded(sent_of(world, LIST, seed=next(seeds))) for _ in range(2)] for _ in range(2)]
        before = bare_list(LIST)
        begun = time.perf_counter()
        with ThreadPoolExecutor(2) as threads:
            list(threads.map(_post_all, clients, bodies))
        taken = (time.perf_counter() - begun) / 4
        if turn:  # the first one warms both workers
            pairs.append((taken, (before + bare_list(LIST)) / 2))
    aim = of_database(vendor, sqlite="", postgresql=">= 0.60")
    _share_row("P1b", LIST, pairs, aim, " by 2 clients at 2 workers")


def _post_all(client: Client, bodies: list[bytes]) -> None:
    for body in bodies:
        assert client.post(PATH, body).json()["stored"] == LIST


def _shares(
    client: Client, world: World, size: int, rounds: int, seeds: Iterator[int]
) -> list[tuple[float, float]]:
    """Return the seconds of a list and of the bare inserts of as many rows, in turns."""
    pairs = []
    for seed in islice(seeds, rounds):
        answer = client.post(PATH, sent_of(world, size, seed=seed))
        assert answer.json()["stored"] == size, answer.body[:300]
        pairs.append((answer.seconds, bare_list(size)))
    return pairs


def _share_row(goal: str, size: int, pairs: list[tuple[float, float]], aim: str, how: str = "") -> None:
    product, floor = median(one for one, _ in pairs), median(one for _, one in pairs)
    share = median(bare / taken for taken, bare in pairs)
    what = f"list of {size:,} over HTTP{how}: share of bare inserts"
    row(goal, what, f"{size / product:.0f}/s", f"{size / floor:.0f}/s", f"{share:.2f}", aim)


def _against_plain(client: Client, world: World, rounds: int, seeds: Iterator[int]) -> None:
    """P1e: rows a second over those of a serializer with many=True and bulk_create."""
    pairs = []
    client.post("/plain/", sent_of(world, PLAIN_LIST, seed=next(seeds)))
    for _ in range(rounds):
        own = client.post(PATH, sent_of(world, LIST, seed=next(seeds))).seconds / LIST
        plain = client.post("/plain/", sent_of(world, PLAIN_LIST, seed=next(seeds))).seconds / PLAIN_LIST
        pairs.append((own, plain))
    own, plain = median(one for one, _ in pairs), median(one for _, one in pairs)
    times = median(other / one for one, other in pairs)
    what = "a list over HTTP: times as many rows as by a plain serializer and bulk_create"
    row("P1e", what, f"{1 / own:.0f}/s", f"{1 / plain:.0f}/s", f"{times:.0f}", ">= 25")


def _again(client: Client, world: World, rounds: int, seeds: Iterator[int]) -> None:
    """P2: the same requests again are answered by the same ids and store nothing."""
    times, taken = [], []
    for seed in islice(seeds, rounds):
        body = encoded(sent_of(world, LIST, seed=seed))
        first, again = client.post(PATH, body), client.post(PATH, body)
        ids, same = ([one["id"] for one in answer.json()["results"]] for answer in (first, again))
        assert again.json()["duplicate"] == LIST, again.body[:300]
        assert ids == same
        times.append(first.seconds / again.seconds)
        taken.append((first.seconds, again.seconds))
    first_took, again_took = median(one for one, _ in taken), median(one for _, one in taken)
    what = f"the same list of {LIST:,} again: times as fast, by the same ids"
    row("P2", what, f"{again_took * 1e3:.0f} ms", f"{first_took * 1e3:.0f} ms", f"{median(times):.1f}",
        ">= 3")  # fmt: skip
