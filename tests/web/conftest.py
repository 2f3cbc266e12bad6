"""Fixtures of the tests of pages."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.marks import every_write_marked


@pytest.fixture(autouse=True)
def _marks(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    with every_write_marked(monkeypatch):
        yield
