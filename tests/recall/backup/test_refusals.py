"""A backup that is damaged, hostile, too new or for another database is refused, and nothing changes."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import connection

from logbook.recall.backup import restoring
from logbook.recall.backup.manifest import BackupError, checked_manifest, opened
from logbook.recall.backup.restoring import restore
from logbook.recall.backup.saving import back_up
from tests.builders import Bench

# Inside a transaction of its own connection SQLite copies nothing and waits for ever.
pytestmark = pytest.mark.django_db(transaction=True)
ONE = "files/archives/1.zip"


@pytest.fixture
def backup(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: object) -> Path:
    """Return a good backup of an empty site; from then on nothing may touch the database."""
    settings.LOGBOOK_DATA = tmp_path / "data"  # type: ignore[attr-defined]
    (tmp_path / "data" / "archives").mkdir(parents=True)
    (tmp_path / "data" / "archives" / "1.zip").write_bytes(b"an archive")
    (tmp_path / "data" / "secret-key").write_text("never told")
    monkeypatch.setattr(restoring, "put_back", lambda _: pytest.fail("the database was touched"))
    file = tmp_path / "backup.zip"
    back_up(file)
    return file


def rewritten(file: Path, change: Callable[[dict[str, bytes]], None]) -> Path:
    with zipfile.ZipFile(file) as archive:
        content = {name: archive.read(name) for name in archive.namelist()}
    change(content)
    with zipfile.ZipFile(file, "w") as archive:
        for name, data in content.items():
            archive.writestr(name, data)
    return file


def saying(**values: object) -> Callable[[dict[str, bytes]], None]:
    def change(content: dict[str, bytes]) -> None:
        content["manifest.json"] = json.dumps(json.loads(content["manifest.json"]) | values).encode()

    return change


def outside(content: dict[str, bytes]) -> None:
    manifest = json.loads(content["manifest.json"])
    manifest["members"]["files/../../evil"] = manifest["members"].pop(ONE)
    content["files/../../evil"] = content.pop(ONE)
    content["manifest.json"] = json.dumps(manifest).encode()


REFUSED = {
    "one byte changed": (
        lambda content: content.update({"files/archives/1.zip": b"an archivE"}),
        "is damaged",
    ),
    "a file missing": (lambda content: content.pop(ONE), "does not hold what"),
    "a file too many": (lambda content: content.update({"files/more": b""}), "does not hold what"),
    "a file outside": (outside, "a file outside of it"),
    "no manifest": (lambda content: content.pop("manifest.json"), "manifest cannot be read"),
    "a manifest that is none": (lambda content: content.update({"manifest.json": b"[1]"}), "cannot be read"),
    "a later format": (saying(format=2), "reads format 1"),
    "a newer version": (saying(migrations=["bench.9999_later"]), "newer version of the site"),
    "another database": (saying(database="other"), "holds a other database"),
}


@pytest.mark.parametrize(("change", "says"), REFUSED.values(), ids=REFUSED)
def test_it_is_refused(backup: Path, change: Callable[[dict[str, bytes]], None], says: str) -> None:
    with pytest.raises(BackupError, match=says):
        restore(rewritten(backup, change), replace=True)


def test_a_file_that_is_no_backup_is_named(backup: Path) -> None:
    backup.write_bytes(b"not a zip file")
    with pytest.raises(BackupError, match="backup.zip cannot be read as a backup"):
        restore(backup, replace=True)


def test_a_site_with_people_is_not_empty(backup: Path, bench: Bench) -> None:
    with pytest.raises(BackupError, match="this site is not empty"):
        restore(backup, replace=False)


def test_it_holds_the_files_but_not_the_secret(backup: Path) -> None:
    with opened(backup) as archive:
        manifest = checked_manifest(archive)
    assert manifest.files == [ONE]
    assert (manifest.database, manifest.counts["projects.Project"]) == (connection.vendor, 0)
    assert backup.stat().st_mode & 0o077 == 0
