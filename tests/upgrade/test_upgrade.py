"""The databases of earlier releases, with their demo in them, migrate to this version and verify."""

from __future__ import annotations

import sqlite3
import zipfile
from pathlib import Path

import pytest

from tests.common.sites import Site, is_listening
from tests.upgrade.databases import DUMPS, load_postgresql, load_sqlite, new_database

RELEASES = sorted(path.name.removesuffix("-sqlite.sql.gz") for path in DUMPS.glob("*-sqlite.sql.gz"))
PATIENCE_S = 240
READINGS = {"0.1.0": 402}  # what `load_demo` of that release said

pytestmark = pytest.mark.xdist_group("upgrade")


def with_evidence(folder: Path, release: str, **extra: str) -> Site:
    with zipfile.ZipFile(DUMPS / f"{release}-evidence.zip") as kept:
        kept.extractall(folder / "evidence")
    return Site(folder, patience_s=PATIENCE_S, extra=extra)


def test_each_release_is_kept_for_both_databases() -> None:
    assert sorted(READINGS) == RELEASES
    assert all((DUMPS / f"{release}-postgresql.sql.gz").exists() for release in RELEASES)


@pytest.mark.timeout(600)
@pytest.mark.parametrize("release", RELEASES)
def test_a_sqlite_database_of_a_release_migrates_and_verifies(release: str, tmp_path: Path) -> None:
    load_sqlite(release, tmp_path / "logbook.sqlite3")
    with sqlite3.connect(tmp_path / "logbook.sqlite3") as link:
        before = link.execute("SELECT key, text, verdict FROM bench_measurement ORDER BY id").fetchall()
    site = with_evidence(tmp_path, release)
    site.manage("migrate", "--verbosity", "0")
    assert f"2 projects, {READINGS[release]} readings: everything agrees" in site.manage("verify")
    with sqlite3.connect(tmp_path / "logbook.sqlite3") as link:
        after = link.execute("SELECT key, text, verdict FROM bench_measurement ORDER BY id").fetchall()
    assert after == before


@pytest.mark.timeout(600)
@pytest.mark.postgres
@pytest.mark.parametrize("release", RELEASES)
def test_a_postgresql_database_of_a_release_migrates_and_verifies(release: str, tmp_path: Path) -> None:
    if not is_listening(5432):
        pytest.skip("no PostgreSQL answers on 127.0.0.1:5432")
    with new_database("logbook_upgrade") as address:
        load_postgresql(release, address)
        site = with_evidence(tmp_path, release, DATABASE_URL=address)
        site.manage("migrate", "--verbosity", "0")
        assert f"2 projects, {READINGS[release]} readings: everything agrees" in site.manage("verify")
