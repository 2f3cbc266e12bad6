"""Pages and lists over HTTP, over an empty view of the same run."""

from __future__ import annotations

from collections.abc import Callable
from statistics import median
from typing import TYPE_CHECKING

from tests.performance.table import of_database, row, table
from tests.performance.timing import ms

if TYPE_CHECKING:
    from logbook.accounts.models import User
    from tests.performance.server import Answer, Client, Site
    from tests.performance.world import World

MOST = 500


def signed_in(user: User) -> str:
    """Return the session of somebody who signed in."""
    from django.test import Client as Browser

    browser = Browser()
    browser.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return browser.cookies["sessionid"].value


def visits(site: Site, world: World, session: str, rounds: int, vendor: str) -> None:
    """P9a, P9c, P9d and P9e."""
    visitor, script = site.visitor(session), site.bench()
    project, revision = f"/p/{world.project.slug}/", f"rev/{world.revisions[2].label}/"
    targets = f"{project}targets/"
    if table.wants("P9a"):
        aim = of_database(vendor, sqlite="20", postgresql="28")
        what = f"page of {len(world.targets)} targets, over an empty view"
        _over_empty("P9a", what, lambda: visitor.get(targets), visitor, rounds, aim)
    listed = f"/api/v1/measurements/?project={world.project.slug}"
    if table.wants("P9c"):
        derived = f"/api/v1/projects/{world.project.slug}/revisions/{world.revisions[2].label}"
        for client, path in (
            (visitor, f"{project}{revision}"),
            (visitor, f"{project}{revision}risks/"),
            (visitor, targets),
            (script, f"{derived}/risks/"),
        ):
            _unchanged(client, path, rounds)
    if table.wants("P9d"):
        aim = of_database(vendor, sqlite="6", postgresql="10")
        what = "API list of 100 readings, over an empty view"
        _over_empty("P9d", what, lambda: script.get(f"{listed}&limit=100"), script, rounds, aim)
    if table.wants("P9e"):
        _deep(script, listed, rounds)


def _over_empty(
    goal: str, what: str, visit: Callable[[], Answer], client: Client, rounds: int, aim: str
) -> None:
    visit()
    turns = [(visit().seconds, client.get("/empty/").seconds) for _ in range(rounds)]
    _over_empty_row(goal, what, turns, aim)


def _over_empty_row(goal: str, what: str, turns: list[tuple[float, float]], aim: str) -> None:
    taken, empty = median(one for one, _ in turns), median(one for _, one in turns)
    row(goal, what, ms(taken), ms(empty), f"{taken / empty:.1f}", aim)


def _unchanged(client: Client, path: str, rounds: int) -> None:
    """P9c: the version known from the last visit is answered by 304 and nothing else."""
    tag = client.get(path).tag
    turns: list[tuple[float, float]] = []
    # On PostgreSQL a write of another database of the server has the page read anew.
    for _ in range(5 * rounds):
        answer = client.get(path, tag=tag, expect=(200, 304)) if tag else None
        if answer is None or len(turns) == rounds:
            break
        tag = answer.tag
        if answer.status == 304:
            turns.append((answer.seconds, client.get("/empty/").seconds))
    if not turns:
        row("P9c", f"never answered by 304: {path}", "0", "1", "", "equal")
        return
    _over_empty_row("P9c", f"304 of {path}, over an empty view", turns, "4")


def _deep(script: Client, listed: str, rounds: int) -> None:
    """P9e: the last page of the readings over the first one."""
    from logbook.bench.models import Measurement

    newest = Measurement.objects.order_by("-pk").values_list("pk", flat=True)[MOST]
    first, last = f"{listed}&limit=100", f"{listed}&limit=100&after={newest}"
    script.get(first)
    assert len(script.get(last).json()["results"]) == 100
    turns = [(script.get(last).seconds, script.get(first).seconds) for _ in range(rounds)]
    late, early = median(one for one, _ in turns), median(one for _, one in turns)
    what = f"page of 100 readings after all but {MOST}, over the first page"
    row("P9e", what, ms(late), ms(early), f"{late / early:.2f}", "1.5")
