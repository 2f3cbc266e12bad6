"""The product behind gunicorn, and kept connections to it."""

from __future__ import annotations

import http.client
import json
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class Answer:
    """What came back, and the seconds until all of it was read."""

    seconds: float
    status: int
    tag: str
    body: bytes

    def json(self) -> Any:
        """Return what it says."""
        return json.loads(self.body)


class Client:
    """One kept connection."""

    def __init__(self, port: int, headers: Mapping[str, str]) -> None:
        self._connection = http.client.HTTPConnection("127.0.0.1", port)
        self._headers = dict(headers)

    def post(self, path: str, sent: object, *, expect: tuple[int, ...] = (200, 201)) -> Answer:
        """Send an object as JSON; its encoding is not timed."""
        return self._ask("POST", path, expect, encoded(sent), {"Content-Type": "application/json"})

    def get(self, path: str, *, tag: str = "", expect: tuple[int, ...] = (200,)) -> Answer:
        """Read a page; ``tag`` is that of the version known already."""
        return self._ask("GET", path, expect, None, {"If-None-Match": tag} if tag else {})

    def _ask(
        self, method: str, path: str, expect: tuple[int, ...], body: bytes | None, also: dict[str, str]
    ) -> Answer:
        begun = time.perf_counter()
        self._connection.request(method, path, body, self._headers | also)
        answer = self._connection.getresponse()
        text = answer.read()
        taken = time.perf_counter() - begun
        if answer.status not in expect:
            raise RuntimeError(f"{method} {path}: {answer.status}: {text[:300]!r}")
        return Answer(taken, answer.status, answer.headers.get("ETag", ""), text)


def encoded(sent: object) -> bytes:
    """Return what is sent; bytes are sent as they are."""
    return sent if isinstance(sent, bytes) else json.dumps(sent).encode()


@dataclass(frozen=True)
class Site:
    """The served site."""

    port: int
    process: int
    token: str

    def bench(self) -> Client:
        """Return a connection of a bench script."""
        return Client(self.port, {"Authorization": f"Bearer {self.token}"})

    def visitor(self, session: str) -> Client:
        """Return a connection of somebody signed in, who has a token for forms."""
        return Client(self.port, {"Cookie": f"sessionid={session}; csrftoken={'k' * 32}"})

    def memory_mb(self) -> float:
        """Return the resident memory of all workers; 0 where the system does not say."""
        children = Path(f"/proc/{self.process}/task/{self.process}/children")
        if not children.exists():
            return 0.0
        return sum(_resident_mb(int(child)) for child in children.read_text().split())


@contextmanager
def served(token: str, *, workers: int = 1, threads: int = 1) -> Iterator[Site]:
    """Serve the site of this environment until the end of the block."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    command = [
        *(sys.executable, "-m", "gunicorn", "logbook.conf.wsgi", "--no-control-socket"),
        *("--bind", f"127.0.0.1:{port}", "--workers", str(workers), "--threads", str(threads)),
        "--preload",  # or the first request of each worker would wait for all imports
        *("--keep-alive", "600", "--timeout", "600", "--worker-class", "gthread", "--log-level", "error"),
    ]
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    try:
        _wait_for(port)
        yield Site(port, server.pid, token)
    finally:
        server.terminate()
        server.wait()


def _resident_mb(process: int) -> float:
    lines = Path(f"/proc/{process}/status").read_text().splitlines()
    (found,) = [line for line in lines if line.startswith("VmRSS:")]
    return int(found.split()[1]) / 1024


def _wait_for(port: int) -> None:
    for _ in range(600):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise RuntimeError("the server did not come up")
