"""Eight scripts at once, alone and beside one that sends long lists."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from tests.performance.sending import PATH, sent_of
from tests.performance.server import encoded
from tests.performance.sizes import LONGEST_LIST
from tests.performance.table import of_database, row
from tests.performance.timing import ms, percentile

if TYPE_CHECKING:
    from tests.performance.server import Client, Site
    from tests.performance.world import World

CLIENTS = 8
REPEATED_EACH = 10
WARMING = 5


@dataclass
class Seen:
    """What one script saw: seconds of each request, answers by key, and what went wrong."""

    seconds: list[float] = field(default_factory=list)
    ids: dict[str, set[int]] = field(default_factory=dict)
    errors: list[str] = field(default_factory=list)


def crowd(site: Site, world: World, each: int, seeds: Iterator[int], vendor: str) -> None:
    """P5a to P5c."""
    _together(site, _shares(world, WARMING, seeds), PATH)
    empty = _rate(_together(site, _shares(world, each, seeds), "/empty/"))
    alone = _together(site, _shares(world, each, seeds), PATH)
    aim = of_database(vendor, sqlite=">= 0.30", postgresql=">= 0.15")
    what = f"{CLIENTS} scripts, {each} readings each: rate over that of an empty view"
    row("P5b", what, f"{_rate(alone):.0f}/s", f"{empty:.0f}/s", f"{_rate(alone) / empty:.2f}", aim)
    _nothing_lost(alone[0], f"{CLIENTS} scripts")
    batch, beside = _beside_lists(site, world, each, seeds)
    _nothing_lost(beside, f"beside lists of {LONGEST_LIST:,}")
    slow = percentile([one for seen in beside for one in seen.seconds], 0.99)
    what = f"one reading beside lists of {LONGEST_LIST:,}, 99 of 100, over one such list"
    row("P5c", what, ms(slow), ms(batch), f"{slow / batch:.2f}", "1")


def _shares(world: World, each: int, seeds: Iterator[int]) -> list[list[dict[str, Any]]]:
    sent = sent_of(world, CLIENTS * each, seed=next(seeds))
    return [sent[number::CLIENTS] for number in range(CLIENTS)]


def _together(site: Site, shares: list[list[dict[str, Any]]], path: str) -> tuple[list[Seen], float]:
    """Let every script send its readings, each tenth twice; return what they saw and the seconds."""
    clients = [site.bench() for _ in shares]
    begun = time.perf_counter()
    with ThreadPoolExecutor(len(shares)) as threads:
        seen = list(threads.map(lambda client, share: _send(client, share, path), clients, shares))
    return seen, time.perf_counter() - begun


def _send(client: Client, share: list[dict[str, Any]], path: str) -> Seen:
    seen = Seen()
    for number, one in enumerate(share):
        for _ in range(2 if number % REPEATED_EACH == 0 else 1):
            try:
                answer = client.post(path, one)
            except (RuntimeError, OSError) as problem:
                seen.errors.append(str(problem))
                continue
            seen.seconds.append(answer.seconds)
            if path == PATH:
                seen.ids.setdefault(one["key"], set()).add(answer.json()["id"])
    return seen


def _rate(found: tuple[list[Seen], float]) -> float:
    seen, taken = found
    return sum(len(one.seconds) for one in seen) / taken


def _beside_lists(site: Site, world: World, each: int, seeds: Iterator[int]) -> tuple[float, list[Seen]]:
    """Return the seconds of one long list alone, and what the scripts saw while such lists came in."""
    sender, ended, wrong = site.bench(), threading.Event(), Seen()
    alone = sender.post(PATH, sent_of(world, LONGEST_LIST, seed=next(seeds))).seconds
    bodies = [encoded(sent_of(world, LONGEST_LIST, seed=next(seeds))) for _ in range(3)]

    def send_lists() -> None:
        place = 0
        while not ended.is_set():
            try:
                # After the first three these are repeats, which cost a lookup each.
                sender.post(PATH, bodies[place % len(bodies)])
            except (RuntimeError, OSError) as problem:
                wrong.errors.append(str(problem))
            place += 1

    other = threading.Thread(target=send_lists)
    other.start()
    seen, _ = _together(site, _shares(world, each, seeds), PATH)
    ended.set()
    other.join()
    return alone, [*seen, wrong]


def _nothing_lost(seen: list[Seen], when: str) -> None:
    """P5a: no error, and each key is one row that was answered by its own id."""
    from logbook.bench.models import Measurement

    answered = {key: ids for one in seen for key, ids in one.ids.items()}
    stored: dict[str, list[int]] = {}
    for key, number in Measurement.objects.filter(key__in=answered).values_list("key", "pk"):
        stored.setdefault(key, []).append(number)
    errors = sum(len(one.errors) for one in seen)
    lost = sum(key not in stored for key in answered)
    doubled = sum(len(stored.get(key, [])) > 1 or len(ids) > 1 for key, ids in answered.items())
    found = f"{errors} {lost} {doubled}"
    row("P5a", f"{when}: errors, lost, doubled of {len(answered):,}", found, "0 0 0", "", "equal")
