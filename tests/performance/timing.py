"""Measuring a product and its floor in turns, so that both see the same machine."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median


@dataclass(frozen=True)
class Pairs:
    """Medians of seconds, and of the ratios of one turn each."""

    product: float
    floor: float

    ratio: float


def seconds(work: Callable[[], object]) -> float:
    """Return how long something takes once."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def in_turns(product: Callable[[], object], floor: Callable[[], object], rounds: int) -> Pairs:
    """Measure both in turns after a first time that does not count."""
    product()
    floor()
    return paired([(seconds(product), seconds(floor)) for _ in range(rounds)])


def paired(turns: list[tuple[float, float]]) -> Pairs:
    """Return the medians of turns of product and floor."""
    return Pairs(
        median(one for one, _ in turns), median(one for _, one in turns), median(a / b for a, b in turns)
    )


def percentile(values: list[float], share: float) -> float:
    """Return the value below which that share of them lies, by rank (the nearest one above)."""
    ordered = sorted(values)
    return ordered[min(int(share * len(ordered)), len(ordered) - 1)]


def ms(taken: float) -> str:
    """Write seconds as milliseconds, with as many digits as say something."""
    return f"{taken * 1e3:.0f} ms" if taken >= 0.1 else f"{taken * 1e3:.2f} ms"
