"""Lists are paged by key: the last page asks no more of the database than the first (no OFFSET, no count)."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml
from django.conf import settings
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.api.callers import caller_for
from tests.builders import Bench

DOCUMENT: Path = settings.BASE_DIR / "docs" / "openapi.yaml"
THERE = {"slug": "tern", "label": "A", "serial": "0001", "name": "meter"}
# These two need more than that project holds.
NOT_THERE = {
    "/api/v1/lessons/{name}/answers/",
    "/api/v1/projects/{slug}/revisions/{label}/bill-of-materials/parts/",
}
PAGES = [f"/p/tern/{name}/" for name in ("measurements", "sessions", "changes", "evidence")]


def paged_lists() -> Iterator[str]:
    """Yield the address of each list with ``?after=`` whose place exists in the project of the tests."""
    for path, methods in yaml.safe_load(DOCUMENT.read_text())["paths"].items():
        parameters = methods.get("get", {}).get("parameters", [])
        needed = {one["name"] for one in parameters if one["in"] == "path"}
        is_paged = any(one["name"] == "after" for one in parameters)
        if is_paged and needed <= set(THERE) and path not in NOT_THERE:
            yield path.format(**THERE).removeprefix("/api/v1/")


def by_place(queries: CaptureQueriesContext) -> list[str]:
    return [
        one["sql"] for one in queries.captured_queries if "OFFSET" in one["sql"] or "COUNT(" in one["sql"]
    ]


def test_the_lists_are_found():
    assert {"measurements/", "projects/", "projects/tern/boards/", "instruments/"} <= set(paged_lists())


@pytest.mark.parametrize("address", list(paged_lists()))
def test_a_list_of_the_api_is_paged_by_key(bench: Bench, address: str):
    caller = caller_for(bench.owner)
    caller.post("instruments/", {"name": "meter", "kind": "meter"})
    asked = "project=tern&after=0&limit=1" if address == "measurements/" else "after=0&limit=1"
    with CaptureQueriesContext(connection) as queries:
        answer = caller.get(f"{address}?{asked}")
    assert answer.status_code == 200, answer.content
    assert by_place(queries) == []


@pytest.mark.parametrize("address", PAGES)
def test_a_list_on_a_page_is_paged_by_key(bench: Bench, client: Client, address: str):
    client.force_login(bench.owner)
    with CaptureQueriesContext(connection) as queries:
        answer = client.get(f"{address}?after=7")
    assert answer.status_code == 200
    assert by_place(queries) == []
