"""A whole site is backed up while it serves, restored into an empty one, and verified; on both databases."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import threading
import zipfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import psycopg
import pytest

from tests.common.sites import Site, is_listening
from tests.faults.readings import PREPARE, a_list, send
from tests.upgrade.databases import DUMPS, load_sqlite, new_database

PATIENCE_S = 240
WITH_EVIDENCE = f"""
{PREPARE}
import io
from logbook.evidence.commands import add_evidence
csv = "time [s],out [V]" + "".join(f"\\n{{n * 1e-6}},{{n % 7}}" for n in range(500))
add_evidence(actor=bench.actor, project=bench.project, name="ramp.csv", stream=io.BytesIO(csv.encode()))
for number in range(20):
    bench.read(f"3.{{250 + number}}", "T1", key=f"r{{number}}")
"""

pytestmark = [pytest.mark.xdist_group("backup"), pytest.mark.timeout(600), pytest.mark.postgres]


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest) -> Iterator[str]:
    """Return the address of a database for the site, empty for SQLite."""
    if request.param == "sqlite":
        yield ""
        return
    if not is_listening(5432):
        pytest.skip("no PostgreSQL answers on 127.0.0.1:5432")
    with new_database("logbook_backup") as made:
        yield made


def site_in(folder: Path, address: str) -> Site:
    folder.mkdir(exist_ok=True)
    return Site(folder, patience_s=PATIENCE_S, extra={"DATABASE_URL": address} if address else {})


def refused(site: Site, *arguments: str) -> str:
    """Run a command that must fail and return what it said."""
    with pytest.raises(AssertionError) as failure:
        site.manage(*arguments)
    return str(failure.value)


def readings_in(site: Site, address: str) -> list[tuple[object, ...]]:
    """Return the readings as the database holds them."""
    question = "SELECT id, key, text, verdict, reason FROM bench_measurement ORDER BY id"
    if address:
        with psycopg.connect(address) as link:
            return list(link.execute(question).fetchall())
    with closing(sqlite3.connect(site.folder / "logbook.sqlite3")) as link:
        return list(link.execute(question).fetchall())


def test_a_site_comes_back_whole_and_only_where_it_may(address: str, tmp_path: Path) -> None:
    site, file = site_in(tmp_path / "there", address), tmp_path / "backup.zip"
    site.script(WITH_EVIDENCE)
    site.manage("run_jobs")
    before = readings_in(site, address)
    assert "1 projects, 20 readings" in site.manage("backup_site", str(file))
    assert "secret-key" not in " ".join(zipfile.ZipFile(file).namelist())
    assert "this site is not empty" in refused(site, "restore_site", str(file))
    _lose_some(site)
    assert "everything agrees" in site.manage("restore_site", str(file), "--replace")
    assert readings_in(site, address) == before
    if not address:
        return
    with new_database("logbook_backup") as elsewhere:
        other = site_in(tmp_path / "here", elsewhere)
        assert "20 readings: everything agrees" in other.manage("restore_site", str(file))
        assert readings_in(other, elsewhere) == before


def _lose_some(site: Site) -> None:
    """Lose readings, current results and every file of evidence."""
    site.script(
        "from logbook.bench.models import CurrentResult, Measurement\n"
        "CurrentResult.objects.all().delete(); Measurement.objects.filter(key__gt='r3').delete()"
    )
    shutil.rmtree(site.folder / "evidence")
    assert "differ" in refused(site, "verify")


def test_an_empty_folder_takes_a_backup_made_while_readings_came_in(tmp_path: Path) -> None:
    site, file = site_in(tmp_path / "there", ""), tmp_path / "backup.zip"
    site.script(WITH_EVIDENCE)
    made = site.manage("create_token", "--user", "owner-tern", "--scopes", "read,record")
    served, stop = site.serve(), threading.Event()

    def go_on() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            send(served, made.split()[-1], a_list(f"list{number}", 100))

    writer = threading.Thread(target=go_on)
    writer.start()
    try:
        site.manage("backup_site", str(file))
    finally:
        stop.set()
        writer.join(60)
        site.close()
    other = site_in(tmp_path / "here", "")
    assert "everything agrees" in other.manage("restore_site", str(file))
    assert (len(readings_in(other, "")) - 20) % 100 == 0


def test_a_backup_of_an_earlier_release_is_migrated(tmp_path: Path) -> None:
    old, file = tmp_path / "old.sqlite3", tmp_path / "backup.zip"
    load_sqlite("0.1.0", old)
    with closing(sqlite3.connect(old)) as link:
        applied = [".".join(row) for row in link.execute("SELECT app, name FROM django_migrations")]
    _pack(file, {"database.sqlite3": old.read_bytes()} | _evidence(), applied)
    said = site_in(tmp_path / "here", "").manage("restore_site", str(file))
    assert "it is of an older version" in said
    assert "402 readings: everything agrees" in said


def _evidence() -> dict[str, bytes]:
    with zipfile.ZipFile(DUMPS / "0.1.0-evidence.zip") as kept:
        return {f"files/evidence/{name}": kept.read(name) for name in kept.namelist()}


def _pack(file: Path, content: dict[str, bytes], applied: list[str]) -> None:
    """Write a backup by hand, as its format is described in docs/operations.md."""

    members = {
        name: {"sha256": hashlib.sha256(data).hexdigest(), "size": len(data)}
        for name, data in content.items()
    }
    manifest = {
        "format": 1, "made_at": "2026-11-25T00:00:00+00:00", "database": "sqlite",
        "snapshot": "database.sqlite3", "migrations": applied, "counts": {}, "members": members,
    }  # fmt: skip
    with zipfile.ZipFile(file, "w") as archive:
        for name, data in content.items():
            archive.writestr(name, data)
        archive.writestr("manifest.json", json.dumps(manifest))
