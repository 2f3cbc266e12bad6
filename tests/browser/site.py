"""Serves the invented demo with a gunicorn process of its own, exactly as ``make demo`` does."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page

from logbook.recall.demo import DEMO_PASSWORD
from tests.locks import alone

ROOT = Path(__file__).resolve().parents[2]
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@dataclass(frozen=True)
class Site:
    """A served demo."""

    address: str
    environment: dict[str, str]

    def manage(self, *arguments: str) -> str:
        """Run a management command against the served data and return what it printed."""
        command = [sys.executable, "manage.py", *arguments]
        done = subprocess.run(
            command, cwd=ROOT, env=self.environment, capture_output=True, text=True, check=True
        )
        return done.stdout


@contextmanager
def served_demo(folder: Path, *, template: Path | None = None) -> Iterator[Site]:
    """Load the demo into ``folder`` and serve it until the block ends.

    ``template`` is a folder that keeps what was loaded once for others to copy.
    """
    environment = os.environ | {
        "LOGBOOK_DATA": str(folder),
        "DJANGO_SETTINGS_MODULE": "logbook.conf.settings",
        "DATABASE_URL": "",
        # The test process switches it off for itself.
        "LOGBOOK_JOB_RUNNER": "on",
    }
    port = _free_port()
    served = Site(f"http://127.0.0.1:{port}", environment)
    if template is None:
        _load(served)
    else:
        with alone(template.parent, template.name):
            if not template.exists():
                _load(Site("", environment | {"LOGBOOK_DATA": str(template)}))
        shutil.copytree(template, folder, dirs_exist_ok=True)
    command = [
        sys.executable, "-m", "gunicorn", "logbook.conf.wsgi",
        "--bind", f"127.0.0.1:{port}", "--workers", "1", "--threads", "4",
    ]  # fmt: skip
    server = subprocess.Popen(
        command, cwd=ROOT, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        _wait_for(served.address)
        yield served
    finally:
        server.terminate()
        server.wait(timeout=20)


def _load(site: Site) -> None:
    site.manage("migrate", "--verbosity", "0")
    site.manage("load_demo")


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _wait_for(address: str) -> None:
    for _ in range(150):
        try:
            with urllib.request.urlopen(f"{address}/healthz/", timeout=1):
                return
        except OSError:
            time.sleep(0.2)
    message = f"the demo did not answer at {address}"
    raise TimeoutError(message)


def sign_in(page: Page) -> None:
    """Sign in as the designer of the demo."""
    page.goto("/sign-in/")
    page.get_by_label("Name").fill("iv")
    page.get_by_label("Password").fill(DEMO_PASSWORD)
    with page.expect_navigation():
        page.get_by_role("button", name="Sign in").click()
