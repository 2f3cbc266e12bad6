"""The product behind gunicorn, one worker, and a kept connection to it."""

from __future__ import annotations

import http.client
import json
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any


class Client:
    """One connection with a token."""

    def __init__(self, port: int, token: str) -> None:
        self._connection = http.client.HTTPConnection("127.0.0.1", port)
        self._headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}

    def post(self, path: str, sent: object) -> tuple[float, Any]:
        """Return the seconds until the answer was read, and the answer."""
        body = json.dumps(sent).encode()
        begun = time.perf_counter()
        self._connection.request("POST", path, body, self._headers)
        answer = self._connection.getresponse()
        text = answer.read()
        taken = time.perf_counter() - begun
        if answer.status not in (200, 201):
            raise RuntimeError(f"{answer.status}: {text[:300]!r}")
        return taken, json.loads(text)


@contextmanager
def served(token: str) -> Iterator[Client]:
    """Serve the site of this environment until the end of the block."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    options = ["--bind", f"127.0.0.1:{port}", "--workers", "1", "--threads", "1", "--keep-alive", "60"]
    command = [sys.executable, "-m", "gunicorn", "logbook.conf.wsgi", "--no-control-socket", *options]
    server = subprocess.Popen(
        [*command, "--worker-class", "gthread", "--log-level", "error"], stdout=subprocess.DEVNULL
    )
    try:
        _wait_for(port)
        yield Client(port, token)
    finally:
        server.terminate()
        server.wait()


def _wait_for(port: int) -> None:
    for _ in range(300):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise RuntimeError("the server did not come up")
