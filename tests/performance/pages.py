"""Derived pages: how long they take, and whether they grow with the history."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING, Any

from tests.performance.table import row

if TYPE_CHECKING:
    from logbook.projects.models import Revision
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
    """Visit every page of the middle revision and of the next one; the median of five visits each."""
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
    """Return what is measured: computed, as answer of the API and as page, here and on a revision to come."""
    from logbook.accounts.commands import create_token
    from logbook.boards.models import Board
    from logbook.planning.queries import bench_lines_of, coverage_of, open_risks_of, readiness_of

    revision, slug = world.revisions[2], world.project.slug
    board = Board.objects.get(project=world.project, serial=world.boards[2])
    _, token = create_token(user=world.user, name="pages", scopes=["read"], actor=world.actor)
    told = {"Authorization": f"Bearer {token}"}

    def page(path: str, **headers: str) -> Callable[[], object]:
        def visit() -> None:
            answer = visitor.get(path, headers=headers)
            if answer.status_code != 200:
                raise RuntimeError(f"{path}: {answer.status_code}")

        return visit

    def pages(one: Revision) -> dict[str, Callable[[], object]]:
        asked = f"/api/v1/projects/{slug}/revisions/{one.label}/"
        shown = f"/p/{slug}/rev/{one.label}/"
        return {
            "coverage, computed": lambda: coverage_of(one),
            "open risks, computed": lambda: open_risks_of(one),
            "readiness, computed": lambda: readiness_of(one),
            "answer of coverage": page(f"{asked}coverage/", **told),
            "answer of open risks": page(f"{asked}risks/", **told),
            "answer of readiness": page(f"{asked}readiness/", **told),
            "page of a revision": page(shown),
            "page of open risks": page(f"{shown}risks/"),
            "page of readiness": page(f"{shown}readiness/"),
        }

    inherited = {f"{name}, all inherited": visit for name, visit in pages(_to_come(world)).items()}
    lines = {"bench lines of a board, computed": lambda: bench_lines_of(board)}
    return {**pages(revision), **inherited, **lines}


def _to_come(world: World) -> Revision:
    """Return the revision after the last, without a board: every state of it is inherited or never tried."""
    from logbook.projects.commands import add_change, add_revision

    known = world.project.revisions.filter(label="NEXT").first()
    if known is not None:
        return known
    made = add_revision(actor=world.actor, project=world.project, label="NEXT", parent=world.revisions[-1])
    touched = list(world.project.subsystems.all()[:3])
    add_change(
        actor=world.actor, revision=made, key="F-1", kind="layout", what="invented", subsystems=touched
    )
    return made


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
        row("", f"{name}: processor time; by the clock below {AIM_MS} ms", *worked, "", within)
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
