"""A throw-away site on each database, and the table of what was survived."""

from __future__ import annotations

import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
import pytest

from tests.common.sites import Site, is_listening
from tests.faults.readings import PREPARE, Answer, send
from tests.upgrade.databases import new_database

PATIENCE_S = 240
KEPT = "survived"


@dataclass
class FaultSite(Site):
    """A site that a test breaks: its database, and a token of the owner of its project."""

    patience_s: float = PATIENCE_S
    address: str = ""
    database: str = ""
    token: str = ""

    @property
    def vendor(self) -> str:
        return "postgresql" if self.database else "sqlite"

    def start(self) -> None:
        """Serve; from then on ``post`` knows where."""
        self.address = self.serve()

    def break_down(self) -> None:
        """End every process of the site as a power cut would."""
        self.close()
        self.processes.clear()

    def post(self, sent: object) -> Answer:
        """Post to the list of measurements."""
        return send(self.address, self.token, sent)

    def asked(self, question: str) -> Any:
        """Ask the database itself for one number."""
        if self.database:
            with psycopg.connect(self.database) as link:
                return link.execute(question).fetchone()[0]
        with closing(sqlite3.connect(self.folder / "logbook.sqlite3", timeout=60)) as link:
            return link.execute(question).fetchone()[0]

    def stored(self) -> int:
        """Return how many readings there are, none of them twice."""
        assert not self.asked("SELECT count(*) - count(DISTINCT key) FROM bench_measurement")
        return int(self.asked("SELECT count(*) FROM bench_measurement"))

    def verified(self) -> str:
        """Have everything kept compared with the history and return what was said last."""
        last = self.manage("verify").splitlines()[-1]
        assert last.endswith("everything agrees")
        return last


def wait_until(is_so: Callable[[], Any], seconds: float = 120) -> None:
    """Wait until something has come about."""
    end = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < end, "it did not come so far"
        time.sleep(0.01)


def _prepared(folder: Path, database: str = "") -> FaultSite:
    site = FaultSite(folder, database=database, extra={"DATABASE_URL": database} if database else {})
    site.script(PREPARE)
    made = site.manage("create_token", "--user", "owner-tern", "--scopes", "read,record,edit")
    site.token = made.split()[-1]
    return site


@pytest.fixture(scope="session")
def sqlite_site(tmp_path_factory: pytest.TempPathFactory) -> FaultSite:
    """Return a site to copy."""
    return _prepared(tmp_path_factory.mktemp("sqlite"))


@pytest.fixture(scope="session")
def postgresql_site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FaultSite]:
    """Return a site whose database is a template."""
    if not is_listening(5432):
        pytest.skip("no PostgreSQL answers on 127.0.0.1:5432")
    with new_database("logbook_faults") as address:
        yield _prepared(tmp_path_factory.mktemp("postgresql"), address)


@pytest.fixture
def on_sqlite(sqlite_site: FaultSite, tmp_path: Path) -> Iterator[FaultSite]:
    """Return a site of its own on SQLite."""
    yield from _copy_of(sqlite_site, tmp_path)


@pytest.fixture
def on_postgresql(postgresql_site: FaultSite, tmp_path: Path) -> Iterator[FaultSite]:
    """Return a site of its own on PostgreSQL."""
    template = postgresql_site.database.rpartition("/")[2]
    with new_database("logbook_fault", template) as address:
        yield from _copy_of(postgresql_site, tmp_path, address)


def _copy_of(site: FaultSite, folder: Path, database: str = "") -> Iterator[FaultSite]:
    shutil.copytree(site.folder, folder, dirs_exist_ok=True)
    extra = {"DATABASE_URL": database} if database else {}
    made = FaultSite(folder, database=database, token=site.token, extra=extra)
    yield made
    made.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def site(request: pytest.FixtureRequest) -> FaultSite:
    """Return a site of its own on each database."""
    made: FaultSite = request.getfixturevalue(f"on_{request.param}")
    return made


@pytest.fixture
def survived(record_property: Callable[[str, object], None]) -> Callable[[str, str, str], None]:
    """Return what puts a line into the table: the fault, the database, and what was found afterwards."""
    return lambda fault, vendor, found: record_property(KEPT, (fault, vendor, found))


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Print what was survived."""
    passed = [one for one in terminalreporter.stats.get("passed", []) if one.when == "call"]
    rows = [(value, one.duration) for one in passed for name, value in one.user_properties if name == KEPT]
    if not rows:
        return
    terminalreporter.section("survived")
    for (fault, vendor, found), seconds in rows:
        terminalreporter.line(f"{fault:<48}{vendor:<12}{seconds:>6.0f} s  {found}")
