"""The network between a bench computer and the site, which these tests cut, stall and answer for."""

from __future__ import annotations

import json
import socket
import ssl
import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

PASS, REFUSE, CUT_REQUEST, CUT_ANSWER, HALF_ANSWER, STALL = (
    "pass", "refuse", "cut request", "cut answer", "half answer", "stall",
)  # fmt: skip
Happens = str | bytes | Callable[[bytes], str | bytes]


def answered(status: str, body: object = None, *headers: str) -> bytes:
    """Return a whole answer as something in front of the site gives it: a problem, or a page of HTML."""
    content = b"<html>busy</html>" if body is None else json.dumps(body).encode()
    kind = "text/html" if body is None else "application/problem+json"
    lines = [f"HTTP/1.1 {status}", f"Content-Type: {kind}", f"Content-Length: {len(content)}", *headers]
    return ("\r\n".join(lines) + "\r\nConnection: close\r\n\r\n").encode() + content


@dataclass
class Wire:
    """A TCP proxy before the site. Each connection takes the next of ``plan``, then ``always``.

    *cut request* passes half of the request on, *cut answer* lets the site answer and drops the answer.
    """

    upstream: int
    plan: deque[Happens] = field(default_factory=deque)
    always: Happens = PASS
    requests: list[bytes] = field(default_factory=list)
    tls: ssl.SSLContext | None = None
    _listener: socket.socket = field(default_factory=lambda: socket.create_server(("127.0.0.1", 0)))
    _stalled: list[socket.socket] = field(default_factory=list)

    def __enter__(self) -> Wire:
        threading.Thread(target=self._accept, daemon=True).start()
        return self

    def __exit__(self, *_: object) -> None:
        # Wakes the thread that waits for a connection, which closing alone does not.
        self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        for one in self._stalled:
            one.close()

    @property
    def address(self) -> str:
        """Return the address a client takes for the site's."""
        scheme = "http" if self.tls is None else "https"
        return f"{scheme}://127.0.0.1:{self._listener.getsockname()[1]}"

    def bodies(self) -> list[Any]:
        """Return what was posted, in order."""
        parts = [one.partition(b"\r\n\r\n")[2] for one in self.requests if one.startswith(b"POST")]
        return [json.loads(part) for part in parts if part]

    def _accept(self) -> None:
        while True:
            try:
                client, _ = self._listener.accept()
            except OSError:
                return
            happens = self.plan.popleft() if self.plan else self.always
            threading.Thread(target=self._serve, args=[client, happens], daemon=True).start()

    def _serve(self, client: socket.socket, happens: Happens) -> None:
        if happens == REFUSE:
            client.close()
            return
        if self.tls is not None:
            try:
                client = self.tls.wrap_socket(client, server_side=True)
            except OSError:
                client.close()
                return
        request = _whole_request(client)
        self.requests.append(request)
        if callable(happens):
            happens = happens(request)
        if happens == STALL:
            self._stalled.append(client)
            return
        with client:
            if happens == REFUSE:
                return
            answer = happens if isinstance(happens, bytes) else self._from_site(request, happens)
            if happens == HALF_ANSWER:
                answer = answer[: len(answer) - 20]
            if happens not in (CUT_ANSWER, CUT_REQUEST):
                client.sendall(answer)

    def _from_site(self, request: bytes, happens: str) -> bytes:
        with socket.create_connection(("127.0.0.1", self.upstream)) as site:
            if happens == CUT_REQUEST:
                site.sendall(request[: len(request) // 2])
                return b""
            site.sendall(request)
            answer = b""
            while part := site.recv(65536):
                answer += part
            return answer


def _whole_request(client: socket.socket) -> bytes:
    request = b""
    while b"\r\n\r\n" not in request:
        part = client.recv(65536)
        if not part:
            return request
        request += part
    head, _, body = request.partition(b"\r\n\r\n")
    sizes = [
        line.split(b":")[1] for line in head.split(b"\r\n") if line.lower().startswith(b"content-length")
    ]
    missing = int(sizes[0]) - len(body) if sizes else 0
    while missing > 0:
        part = client.recv(65536)
        if not part:
            break
        request, missing = request + part, missing - len(part)
    return request
