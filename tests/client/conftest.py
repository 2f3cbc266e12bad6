"""Fixtures: the real site once for all these tests, a wire to it, and a logbook with a spool of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from board_logbook_client import Logbook

from tests.client.serving import Served, served_site
from tests.client.wire import Wire


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served_site(tmp_path_factory.mktemp("site")) as served:
        yield served


@pytest.fixture
def wire(site: Served) -> Iterator[Wire]:
    with Wire(site.port) as between:
        yield between


@pytest.fixture
def logbook(site: Served, wire: Wire, tmp_path: Path) -> Iterator[Logbook]:
    with Logbook(
        wire.address, site.token, spool=tmp_path / "spool.sqlite3", timeout_s=3, patience_s=4
    ) as opened:
        yield opened
