"""The real site behind gunicorn, with a token, for a client that comes over the network."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
PREPARE = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from datetime import date
from logbook.bench.commands import add_instrument, record_calibration
from logbook.projects.commands import set_member
from tests.builders import build_bench
bench = build_bench()
for key in ("RLD-1", "RLD-2", "RLD-3"):
    bench.target(key)
bench.target("RLD-4", needs=["RLD-3"])
bench.extra_board("0002")
add_instrument(actor=bench.actor, name="DMM-1", kind="multimeter")
for name, due in (("DMM-2", date(2025, 3, 31)), ("DMM-3", date(2199, 3, 31))):
    meter = add_instrument(actor=bench.actor, name=name, kind="multimeter")
    found = {"on": date(2024, 3, 31), "result": "in limits", "next_due": due}
    record_calibration(actor=bench.actor, instrument=meter, number=f"C-{name}", **found)
# Nobody records in the first, so its plan is known; one test walks through the second.
for slug, role in (("plover", "reader"), ("wren", "editor")):
    other = build_bench(slug)
    other.target("RLD-1")
    other.target("RLD-2", needs=["RLD-1"])
    other.extra_board("0002")
    set_member(actor=other.actor, project=other.project, user=bench.owner, role=role)
other.target("RLD-5", points=["CH1", "CH2"])
"""


@dataclass
class Served:
    """A site of its own with the projects "tern", "plover" and "wren" of ``tests.builders``."""

    environment: dict[str, str]
    port: int = 0
    token: str = ""

    @property
    def address(self) -> str:
        """Return the address without anything in between."""
        return f"http://127.0.0.1:{self.port}"

    def run(self, *arguments: str) -> str:
        """Run Python inside the site to its end and return what it printed."""
        done = subprocess.run(
            [sys.executable, *arguments], cwd=ROOT, env=self.environment, capture_output=True, text=True,
            timeout=120, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        return done.stdout

    def ask(self, path: str) -> Any:
        """Return what the site answers to a GET."""
        request = urllib.request.Request(
            f"{self.address}/api/v1/{path}", headers={"Authorization": f"Bearer {self.token}"}
        )
        with urllib.request.urlopen(request, timeout=30) as answer:
            return json.load(answer)

    def readings(self, note: str) -> list[dict[str, Any]]:
        """Return the stored readings whose note begins so, in the order they were stored."""
        found: list[dict[str, Any]] = []
        after = 0
        while after is not None:
            page = self.ask(f"measurements/?project=tern&limit=500&after={after}")
            found += [one for one in page["results"] if one["note"].startswith(note)]
            after = page["next_after"]
        return found


@contextmanager
def served_site(folder: Path) -> Iterator[Served]:
    """Serve a new site until the end of the block."""
    without = {name: text for name, text in os.environ.items() if name != "DATABASE_URL"}
    site = Served(without | {"LOGBOOK_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "tests.settings"})
    site.run("-c", PREPARE)
    made = site.run("manage.py", "create_token", "--user", "owner-tern", "--scopes", "read,record")
    site.token = made.split()[-1]
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        site.port = int(probe.getsockname()[1])
    options = ["--bind", f"127.0.0.1:{site.port}", "--threads", "4", "--no-control-socket"]
    command = [sys.executable, "-m", "gunicorn", "logbook.conf.wsgi", *options]
    with (folder / "server.log").open("wb") as log:
        server = subprocess.Popen(command, cwd=ROOT, env=site.environment, stdout=log, stderr=log)
    try:
        _wait_for(site.address)
        yield site
    finally:
        server.terminate()
        server.wait(timeout=30)


def _wait_for(address: str) -> None:
    for _ in range(600):
        try:
            with urllib.request.urlopen(f"{address}/healthz/", timeout=10):
                return
        except OSError:
            time.sleep(0.1)
    raise AssertionError("the server did not come up")
