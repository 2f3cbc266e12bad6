"""Several writers on one SQLite file, each a process of its own as in real life."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
WRITER = """
import sys
import django
django.setup()
from logbook.bench.commands import ReadingInput, record_readings
from logbook.accounts.models import User
from logbook.common.changes import Actor
actor = Actor(User.objects.get(username="owner-tern"), "api")
sys.stdin.readline()
total = {"stored": 0, "duplicate": 0, "rejected": 0}
for turn in range(5):
    items = [
        ReadingInput("tern", "0001", "3.1" if n % 3 else "3.3", "T1", key=f"{turn}-{n}") for n in range(30)
    ]
    for one in record_readings(actor=actor, items=items):
        total[one.status] += 1
print(total["stored"], total["duplicate"], total["rejected"])
"""
PREPARE = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests.builders import build_bench
bench = build_bench()
bench.target("T1")
bench.target("T2", needs=["T1"])
"""


def site(folder: Path) -> dict[str, str]:
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return environment | {"LOGBOOK_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "tests.settings"}


def python(folder: Path, *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, env=site(folder), capture_output=True, text=True,
        timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.xdist_group("races")
def test_the_same_lists_from_three_processes_are_stored_once(tmp_path: Path) -> None:
    python(tmp_path, "-c", PREPARE)
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER], cwd=ROOT, env=site(tmp_path), text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )
        for _ in range(3)
    ]  # fmt: skip
    for writer in writers:
        assert writer.stdin is not None
        writer.stdin.write("go\n")
        writer.stdin.flush()
    outcomes = [writer.communicate(timeout=120) for writer in writers]
    assert [errors for _, errors in outcomes if errors] == []
    totals = [sum(column) for column in zip(*(map(int, out.split()) for out, _ in outcomes), strict=True)]
    assert totals == [150, 300, 0]
    assert "150 readings: everything agrees" in python(tmp_path, "manage.py", "verify")
