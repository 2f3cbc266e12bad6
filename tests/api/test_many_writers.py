"""Eight scripts post to a real server at once: no reading is refused, lost or stored twice."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import threading
import time
import urllib.request
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import pytest

ROOT = Path(__file__).resolve().parents[2]
WRITERS, POSTS, LISTED = 8, 6, 30
PREPARE = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests.builders import build_bench
bench = build_bench()
bench.target("T1")
bench.target("T2", needs=["T1"])
bench.extra_board("0002")
"""
COUNT = """
import django
django.setup()
from logbook.bench.models import Measurement
print(Measurement.objects.count(), Measurement.objects.values("key").distinct().count())
"""

pytestmark = [pytest.mark.xdist_group("races"), pytest.mark.postgres]


@dataclass
class Served:
    """A site of its own behind gunicorn, and a token for it."""

    environment: dict[str, str]
    address: str = ""
    token: str = ""

    def run(self, *arguments: str) -> str:
        """Run Python inside the site to its end and return what it printed."""
        done = subprocess.run(
            [sys.executable, *arguments], cwd=ROOT, env=self.environment, capture_output=True, text=True,
            timeout=120, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        return done.stdout

    def post(self, sent: object) -> tuple[int, Any]:
        """Post to the list of measurements; an error's status is raised by the library."""
        headers = {"Authorization": f"Bearer {self.token}", "Content-Type": "application/json"}
        address = f"{self.address}/api/v1/measurements/"
        request = urllib.request.Request(address, json.dumps(sent).encode(), headers)
        with urllib.request.urlopen(request, timeout=60) as answer:
            return answer.status, json.load(answer)


@pytest.fixture(params=["sqlite", "postgresql"])
def served(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Served]:
    own = {"LOGBOOK_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "tests.settings"}
    url = os.environ.get("DATABASE_URL", "")
    if request.param == "sqlite":
        without = {name: text for name, text in os.environ.items() if name != "DATABASE_URL"}
        yield from _serve(Served(without | own), tmp_path)
        return
    if not url:
        pytest.skip("needs PostgreSQL: set DATABASE_URL")
    import psycopg

    name = f"writers_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(url, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}"')
    try:
        there = urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
        yield from _serve(Served(os.environ | own | {"DATABASE_URL": there}), tmp_path)
    finally:
        with psycopg.connect(url, autocommit=True) as server:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def _serve(site: Served, folder: Path) -> Iterator[Served]:
    site.run("-c", PREPARE)
    made = site.run("manage.py", "create_token", "--user", "owner-tern", "--scopes", "read,record")
    site.token = made.split()[-1]
    port = _free_port()
    site.address = f"http://127.0.0.1:{port}"
    options = ["--bind", f"127.0.0.1:{port}", "--workers", "2", "--threads", "4", "--no-control-socket"]
    command = [sys.executable, "-m", "gunicorn", "logbook.conf.wsgi", *options]
    with (folder / "server.log").open("wb") as log:
        server = subprocess.Popen(command, cwd=ROOT, env=site.environment, stdout=log, stderr=log)
    try:
        _wait_for(port)
        yield site
    finally:
        server.terminate()
        server.wait(timeout=30)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _wait_for(port: int) -> None:
    for _ in range(300):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise AssertionError("the server did not come up")


def reading(key: str, number: int) -> dict[str, object]:
    """Return a reading; every third is out of limits, so that failing spans come and go."""
    return {
        "project": "tern", "board": f"000{1 + number % 2}", "target": f"T{1 + number % 2}",
        "value": "3.1" if number % 3 else "3.3", "unit": "V", "key": key,
    }  # fmt: skip


def test_eight_writers_lose_and_double_nothing(served: Served) -> None:
    answers: list[tuple[int, Any]] = []
    failures: list[Exception] = []

    def write(writer: int) -> None:
        try:
            for number in range(POSTS):
                sent = reading(f"{writer}-{number}", number)
                answers.append(served.post(sent))
                if number % 4 == 0:
                    answers.append(served.post(sent))
            # The same list from all of them, each a little further on in it.
            places = [(number + writer) % LISTED for number in range(LISTED)]
            shared = [reading(f"all-{place}", place) for place in places]
            answers.append(served.post(shared))
        except Exception as error:  # noqa: BLE001 - the test looks at whatever went wrong
            failures.append(error)

    writers = [threading.Thread(target=write, args=[number]) for number in range(WRITERS)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert failures == []
    stored = [answer["id"] for status, answer in answers if status == 201]
    assert len(stored) == len(set(stored)) == WRITERS * POSTS
    lists = [answer for _, answer in answers if "results" in answer]
    assert [answer["rejected"] for answer in lists] == [0] * WRITERS
    assert sum(answer["stored"] for answer in lists) + len(stored) == WRITERS * POSTS + LISTED
    total = WRITERS * POSTS + LISTED
    assert served.run("-c", COUNT).split() == [str(total), str(total)]
    assert f"{total} readings: everything agrees" in served.run("manage.py", "verify")
