"""How much is measured."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Sizes:
    """Counts of readings, rounds and requests; ``FULL`` is what the goals speak of."""

    readings: int = 10_000
    grown: int = 100_000
    rounds: int = 3
    posts: int = 200
    each_client: int = 100
    memory_lists: int = 5
    capture: int = 5_000_000


USUAL = Sizes()
FULL = Sizes(grown=1_000_000, rounds=5, posts=1_000, each_client=400, memory_lists=10, capture=10_000_000)
LIST = 5_000
SHORT_LIST = 1_000
LONGEST_LIST = 10_000
