"""A throw-away site in processes of its own, for tests that kill some of them."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def is_listening(port: int) -> bool:
    """Say whether a server answers on this machine."""
    with socket.socket() as probe:
        probe.settimeout(1)
        return probe.connect_ex(("127.0.0.1", port)) == 0


@dataclass
class Site:
    """A data folder, an environment, and the processes started with them."""

    folder: Path
    broker: str = ""
    queue: str = "celery"
    slow_s: float = 0.0
    patience_s: float = 60
    extra: dict[str, str] = field(default_factory=dict)
    processes: list[subprocess.Popen[bytes]] = field(default_factory=list)

    @property
    def notes(self) -> Path:
        return self.folder / "notes"

    def environment(self) -> dict[str, str]:
        own = {
            "DJANGO_SETTINGS_MODULE": "tests.common.slow.settings",
            "LOGBOOK_DATA": str(self.folder),
            "LOGBOOK_SECRET_KEY": "tests-only-" + "0" * 40,
            "LOGBOOK_JOB_LEASE_S": "3",
            "LOGBOOK_JOB_RUNNER": "on",
            "CELERY_BROKER_URL": self.broker,
            "SLOW_JOB_NOTES": str(self.notes),
            "SLOW_JOB_S": str(self.slow_s),
            "SLOW_JOB_QUEUE": self.queue,
        }
        without = {name: text for name, text in os.environ.items() if name != "DATABASE_URL"}
        return without | own | self.extra

    def manage(self, *arguments: str) -> str:
        """Run a management command to its end."""
        return self._run([sys.executable, "manage.py", *arguments])

    def token(self, user: str = "iv") -> str:
        """Make a token of a person of the site."""
        return self.manage("create_token", "--user", user, "--scopes", "read,record").strip()

    def script(self, text: str) -> str:
        """Run a piece of Python inside the site and return what it printed."""
        return self._run([sys.executable, "-c", f"import django; django.setup()\n{text}"])

    def _run(self, command: list[str]) -> str:
        done = subprocess.run(
            command,
            cwd=ROOT,
            env=self.environment(),
            capture_output=True,
            text=True,
            timeout=self.patience_s,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def worker(self) -> subprocess.Popen[bytes]:
        """Start a Celery worker in a process group of its own."""
        options = ["--pool", "prefork", "--concurrency", "1", "--queues", self.queue, "--loglevel", "WARNING"]
        command = [sys.executable, "-m", "celery", "--app", "logbook.conf.celery", "worker", *options]
        with (self.folder / "worker.log").open("ab") as log:
            process = subprocess.Popen(
                command, cwd=ROOT, env=self.environment(), stdout=log, stderr=log, start_new_session=True
            )
        self.processes.append(process)
        return process

    def serve(self) -> str:
        """Start gunicorn as it is deployed, with two processes, and return its address once it answers."""
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = int(probe.getsockname()[1])
        options = ["--config", "deploy/gunicorn.conf.py", "--bind", f"127.0.0.1:{port}", "--workers", "2"]
        command = [sys.executable, "-m", "gunicorn", *options, "logbook.conf.wsgi"]
        with (self.folder / "site.log").open("ab") as log:
            process = subprocess.Popen(
                command, cwd=ROOT, env=self.environment(), stdout=log, stderr=log, start_new_session=True
            )
        self.processes.append(process)
        address = f"http://127.0.0.1:{port}"
        for _ in range(600):
            with contextlib.suppress(OSError), urllib.request.urlopen(f"{address}/readyz/", timeout=30):
                return address
            time.sleep(0.1)
        raise AssertionError((self.folder / "site.log").read_text())

    def kill(self, process: subprocess.Popen[bytes]) -> None:
        """End a process and its children as a power cut would."""
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()

    def close(self) -> None:
        """End whatever is left."""
        for process in self.processes:
            self.kill(process)

    def lines(self) -> list[str]:
        """Return what the slow job wrote down."""
        return self.notes.read_text().splitlines() if self.notes.exists() else []

    def wait_for(self, is_so: Callable[[list[str]], bool], *, seconds: float = 40) -> list[str]:
        """Return what was written once it is as wanted."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if is_so(self.lines()):
                return self.lines()
            time.sleep(0.1)
        log = self.folder / "worker.log"
        raise AssertionError(f"{self.lines()}\n{log.read_text() if log.exists() else ''}")
