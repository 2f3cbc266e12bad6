"""Lists and single readings over HTTP against bare inserts of the same rows."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from itertools import islice
from statistics import median
from typing import TYPE_CHECKING, Any

from tests.performance.floors import bare_list, bare_single
from tests.performance.table import row

if TYPE_CHECKING:
    from tests.performance.server import Client
    from tests.performance.world import World

PATH = "/api/v1/measurements/"


def sent_of(world: World, count: int, *, seed: int) -> list[dict[str, Any]]:
    """Return readings as a script sends them."""
    items = [dataclasses.asdict(item) for item in world.readings(count, seed=seed)]
    return [
        {name: value for name, value in item.items() if value not in ("", None, (), {})}
        | {"taken_at": item["taken_at"].isoformat()}
        for item in items
    ]


def lists(client: Client, world: World, size: int, rounds: int, seeds: Iterator[int]) -> None:
    """P1 and P2: lists, the floor in turns with them, and the same lists again."""
    pairs, replays = [], []
    client.post(PATH, sent_of(world, size, seed=next(seeds)))
    for seed in islice(seeds, rounds):
        sent = sent_of(world, size, seed=seed)
        taken, answer = client.post(PATH, sent)
        assert answer["stored"] == size, answer
        pairs.append((taken, bare_list(size)))
        again, answer = client.post(PATH, sent)
        assert answer["duplicate"] == size, answer
        replays.append(taken / again)
    product, floor = median(one for one, _ in pairs), median(one for _, one in pairs)
    share = median(bare / taken for taken, bare in pairs)
    what = f"list of {size} over HTTP: share of bare inserts"
    row("P1", what, f"{size / product:.0f}/s", f"{size / floor:.0f}/s", f"{share:.2f}", "0.33 / 0.50")
    row("P2", "the same lists again: times as fast", "", "", f"{median(replays):.1f}", "3")


def singles(client: Client, world: World, count: int, seeds: Iterator[int]) -> None:
    """P4: one reading a request, against an empty view and a bare insert with its commit."""
    posts, empties, inserts = [], [], []
    for sent in sent_of(world, count, seed=next(seeds)):
        posts.append(client.post(PATH, sent)[0])
        empties.append(client.post("/empty/", sent)[0])
        inserts.append(bare_single())
    floor = median(empties) + median(inserts)
    product = median(posts)
    what = "one reading over HTTP, over an empty view and a bare insert"
    row("P4a", what, f"{product * 1e3:.1f} ms", f"{floor * 1e3:.1f} ms", f"{product / floor:.1f}", "1.8")
