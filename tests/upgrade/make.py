"""Makes the databases of a release with its demo in them, as ``python -m tests.upgrade.make 5be9b4a 0.1.0``.

The code of that release runs from its own checkout, on SQLite and on PostgreSQL. What is written to
``fixtures/upgrade/`` stays for ever: every later version must be able to migrate it. Large files of evidence
are left out together with the rows that name them.
"""

from __future__ import annotations

import argparse
import gzip
import os
import sqlite3
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.upgrade.databases import DUMPS, dumped_sqlite, new_database

ROOT = Path(__file__).resolve().parents[2]
LARGEST_FILE = 70_000
GUARDS = ("\\restrict ", "\\unrestrict ")
FIXED_DATE = (2026, 1, 1, 0, 0, 0)
WITHOUT_LARGE_FILES = f"""
CREATE TEMPORARY TABLE large AS SELECT id FROM evidence_evidence WHERE size > {LARGEST_FILE};
DELETE FROM bench_measurementevidence WHERE evidence_id IN (SELECT id FROM large);
DELETE FROM bench_sessionevidence WHERE evidence_id IN (SELECT id FROM large);
DELETE FROM evidence_analysis WHERE evidence_id IN (SELECT id FROM large);
DELETE FROM evidence_evidence WHERE id IN (SELECT id FROM large);
DROP TABLE large;
"""


def main() -> None:
    """Make both databases of one commit."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("commit", help="the commit of the release")
    parser.add_argument("release", help="its version, such as 0.1.0")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch, _checkout(asked.commit, Path(scratch)) as code:
        _make_sqlite(code, Path(scratch) / "sqlite", asked.release)
        _make_postgresql(code, Path(scratch) / "postgresql", asked.release)


@contextmanager
def _checkout(commit: str, scratch: Path) -> Iterator[Path]:
    code = scratch / "code"
    subprocess.run(["git", "worktree", "add", "--quiet", "--detach", str(code), commit], cwd=ROOT, check=True)
    try:
        yield code
    finally:
        subprocess.run(["git", "worktree", "remove", "--force", str(code)], cwd=ROOT, check=True)


def _load_demo(code: Path, folder: Path, address: str = "") -> None:
    without = {name: text for name, text in os.environ.items() if name != "DATABASE_URL"}
    own = {"LOGBOOK_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "logbook.conf.settings"}
    environment = without | own | ({"DATABASE_URL": address} if address else {})
    for command in ("migrate", "load_demo"):
        subprocess.run([sys.executable, "manage.py", command], cwd=code, env=environment, check=True)


def _make_sqlite(code: Path, folder: Path, release: str) -> None:
    _load_demo(code, folder)
    link = sqlite3.connect(folder / "logbook.sqlite3")
    link.executescript(WITHOUT_LARGE_FILES)
    _write(f"{release}-sqlite", dumped_sqlite(link))
    files = [row[0] for row in link.execute("SELECT DISTINCT sha256 FROM evidence_evidence ORDER BY 1")]
    link.close()
    with zipfile.ZipFile(DUMPS / f"{release}-evidence.zip", "w", zipfile.ZIP_DEFLATED) as kept:
        for sha256 in files:
            name = f"{sha256[:2]}/{sha256[2:4]}/{sha256}"
            data = (folder / "evidence" / name).read_bytes()
            kept.writestr(zipfile.ZipInfo(name, FIXED_DATE), data, zipfile.ZIP_DEFLATED, 9)


def _make_postgresql(code: Path, folder: Path, release: str) -> None:
    with new_database("logbook_release") as address:
        _load_demo(code, folder, address)
        plain = address.replace("postgres://", "postgresql://")
        subprocess.run(["psql", "--quiet", "--command", WITHOUT_LARGE_FILES, plain], check=True)
        options = ["--no-owner", "--no-privileges"]
        dump = subprocess.run(["pg_dump", *options, plain], capture_output=True, text=True, check=True)
        # Older versions of psql do not know these two lines, which guard against dumps of strangers.
        lines = [line for line in dump.stdout.split("\n") if not line.startswith(GUARDS)]
        _write(f"{release}-postgresql", "\n".join(lines))


def _write(name: str, text: str) -> None:
    (DUMPS / f"{name}.sql.gz").write_bytes(gzip.compress(text.encode(), 9, mtime=0))


if __name__ == "__main__":
    main()
