"""Fixtures of the API's tests."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.core.cache import cache

from tests.api.callers import Caller, caller_for
from tests.builders import Bench
from tests.marks import every_write_marked


@pytest.fixture(autouse=True)
def _fresh_rate() -> None:
    cache.clear()


@pytest.fixture(autouse=True)
def _marks(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    with every_write_marked(monkeypatch):
        yield


@pytest.fixture
def owner(bench: Bench) -> Caller:
    """Return a caller who owns the project, with every scope."""
    return caller_for(bench.owner)


@pytest.fixture
def script(bench: Bench) -> Caller:
    """Return a bench script of the editor: read and record."""
    return caller_for(bench.editor, "read", "record")
