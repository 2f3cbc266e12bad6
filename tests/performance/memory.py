"""What a worker keeps in memory while long lists come in."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import TYPE_CHECKING

from tests.performance.sending import PATH, sent_of
from tests.performance.sizes import LONGEST_LIST
from tests.performance.table import row

if TYPE_CHECKING:
    from tests.performance.server import Site
    from tests.performance.world import World


def memory(site: Site, world: World, count: int, seeds: Iterator[int]) -> None:
    """P3: resident memory of the one worker after many long lists, over that after two of them."""
    client = site.bench()
    for seed in islice(seeds, 2):
        client.post(PATH, sent_of(world, LONGEST_LIST, seed=seed))
    warm = site.memory_mb()
    if not warm:
        row("", "P3 is left out: this system does not say what a process keeps", "", "", "", "")
        return
    for seed in islice(seeds, count):
        client.post(PATH, sent_of(world, LONGEST_LIST, seed=seed))
    after = site.memory_mb()
    what = f"memory of a worker after {count} lists of {LONGEST_LIST:,}: growth in MB"
    row("P3", what, f"{after:.0f} MB", f"{warm:.0f} MB", f"{after - warm:.0f}", "40")
