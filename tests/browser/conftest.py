"""A real headless Chromium in front of a real server holding the invented demo.

The demo is loaded once for the module, into a SQLite file that a gunicorn process of its own serves:
the tests see exactly what ``make demo`` shows.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from logbook.recall.demo import DEMO_PASSWORD

ROOT = Path(__file__).resolve().parents[2]
CHROMIUM = shutil.which("chromium")
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
    pytest.fail(f"the demo did not answer at {address}")


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """Serve the demo as ``make demo`` does."""
    folder = tmp_path_factory.mktemp("demo")
    environment = os.environ | {
        "LOGBOOK_DATA": str(folder),
        "DJANGO_SETTINGS_MODULE": "logbook.conf.settings",
        "DATABASE_URL": "",
    }
    port = _free_port()
    served = Site(f"http://127.0.0.1:{port}", environment)
    served.manage("migrate", "--verbosity", "0")
    served.manage("load_demo")
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


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Start Chromium once."""
    if CHROMIUM is None:
        pytest.skip("no chromium on this machine")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(params=["with JavaScript", "without JavaScript"])
def page(request: pytest.FixtureRequest, site: Site, chromium: Browser) -> Iterator[Page]:
    """Return a page of a signed-in designer, with JavaScript and without."""
    context = chromium.new_context(
        base_url=site.address,
        java_script_enabled=request.param == "with JavaScript",
        viewport={"width": 1280, "height": 800},
    )
    opened = context.new_page()
    sign_in(opened)
    yield opened
    context.close()


def sign_in(page: Page) -> None:
    """Sign in as the designer of the demo."""
    page.goto("/sign-in/")
    page.get_by_label("Name").fill("iv")
    page.get_by_label("Password").fill(DEMO_PASSWORD)
    with page.expect_navigation():
        page.get_by_role("button", name="Sign in").click()
