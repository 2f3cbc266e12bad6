"""Derived pages: how long they take, and whether they grow with the history."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING, Any

from tests.performance.table import row

if TYPE_CHECKING:
    from tests.performance.world import World

AIM_MS = 150
GROWTH = "1.2"


@dataclass(frozen=True)
class Seen:
    """Seconds, processor seconds and number of queries of each page, and seconds of the empty view."""

    seconds: dict[str, float]
    worked: dict[str, float]
    queries: dict[str, int]
    empty: float


def seen(world: World) -> Seen:
    """Visit every page of the middle revision; the median of five visits each."""
    from django.db import connection
    from django.test import Client

    visitor = Client()
    visitor.force_login(world.user, backend="django.contrib.auth.backends.ModelBackend")
    seconds, worked, queries = {}, {}, {}
    for name, visit in _visits(world, visitor).items():
        asked: list[str] = []

        def note(execute: Any, sql: str, *rest: Any, asked: list[str] = asked) -> Any:
            asked.append(sql)
            return execute(sql, *rest)

        with connection.execute_wrapper(note):
            visit()
        (seconds[name], worked[name]), queries[name] = _timed(visit), len(asked)
    return Seen(seconds, worked, queries, _timed(lambda: visitor.get("/empty/"))[0])


def _visits(world: World, visitor: Any) -> dict[str, Callable[[], object]]:
    from logbook.boards.models import Board
    from logbook.planning.queries import bench_lines_of, coverage_of, open_risks_of, readiness_of

    revision = world.revisions[2]
    board = Board.objects.get(project=world.project, serial=world.boards[2])
    address = f"/p/{world.project.slug}/rev/{revision.label}/"

    def page(path: str) -> Callable[[], object]:
        def visit() -> None:
            answer = visitor.get(path)
            if answer.status_code != 200:
                raise RuntimeError(f"{path}: {answer.status_code}")

        return visit

    return {
        "coverage, computed": lambda: coverage_of(revision),
        "open risks, computed": lambda: open_risks_of(revision),
        "readiness, computed": lambda: readiness_of(revision),
        "bench lines of a board, computed": lambda: bench_lines_of(board),
        "page of a revision": page(address),
        "page of open risks": page(f"{address}risks/"),
        "page of readiness": page(f"{address}readiness/"),
    }


def compare(small: Seen, large: Seen, small_size: int, large_size: int) -> None:
    """P7 and P9: latency with the long history, and its ratio to the short one.

    Both are visits after the first; the processor time shows what of it other processes cost.
    """
    for name, taken in large.seconds.items():
        what = f"{name}: {large_size} over {small_size} readings"
        ratio = taken / small.seconds[name]
        took, before = f"{taken * 1e3:.0f} ms", f"{small.seconds[name] * 1e3:.0f} ms"
        row("P7a", what, took, before, f"{ratio:.2f}", GROWTH)
        worked = f"{large.worked[name] * 1e3:.0f} ms", f"{small.worked[name] * 1e3:.0f} ms"
        within = "yes" if taken * 1e3 < AIM_MS else "no"
        row("", f"{name}: processor time; below {AIM_MS} ms", *worked, "", within)
        counts = str(large.queries[name]), str(small.queries[name])
        row("P7c", f"{name}: queries", *counts, "", "equal")
    page = "page of a revision"
    over = large.seconds[page] / large.empty
    row("P9b", f"{page} over an empty view", f"{large.seconds[page] * 1e3:.0f} ms",
        f"{large.empty * 1e3:.1f} ms", f"{over:.0f}", "40")  # fmt: skip


def _timed(work: Callable[[], object]) -> tuple[float, float]:
    """Return the medians of seconds and of processor seconds."""
    times, worked = [], []
    for _ in range(5):
        begun, worked_before = time.perf_counter(), time.process_time()
        work()
        times.append(time.perf_counter() - begun)
        worked.append(time.process_time() - worked_before)
    return median(times), median(worked)
