"""A small store that speaks S3 over real HTTP: signatures, checksums and conditions are checked.

It knows what the site asks: one bucket, PUT, GET and HEAD. Signatures follow the published description of
Signature Version 4 ("Authenticating Requests: Using the Authorization Header"); its worked example is a test.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import unquote, urlsplit

KEY, SECRET = "TESTSONLYKEY", "tests-only-secret-of-the-bucket"
BUCKET = "evidence"


def signature(
    method: str, path: str, query: str, headers: Mapping[str, str], signed: list[str], scope: str, secret: str
) -> str:
    """Return the signature a request must carry; ``headers`` by their names in small letters."""
    lines = [f"{name}:{' '.join(headers[name].split())}" for name in signed]
    request = [method, path, query, *lines, "", ";".join(signed), headers["x-amz-content-sha256"]]
    digest = hashlib.sha256("\n".join(request).encode()).hexdigest()
    text = "\n".join(["AWS4-HMAC-SHA256", headers["x-amz-date"], scope, digest])
    key = f"AWS4{secret}".encode()
    for part in scope.split("/"):
        key = hmac.new(key, part.encode(), hashlib.sha256).digest()
    return hmac.new(key, text.encode(), hashlib.sha256).hexdigest()


class Store(ThreadingHTTPServer):
    """The files by name, what was asked, and how many of the next answers are refused."""

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), Handler)
        self.files: dict[str, bytes] = {}
        self.asked: list[str] = []
        self.failing = 0
        self.lock = threading.Lock()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server_port}"


class Handler(BaseHTTPRequestHandler):
    """Answers one request."""

    protocol_version = "HTTP/1.1"
    server: Store

    def do_HEAD(self) -> None:
        self._answer()

    def do_GET(self) -> None:
        self._answer()

    def do_PUT(self) -> None:
        self._answer()

    def log_message(self, *args: Any) -> None:
        """Say nothing."""

    def _answer(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length", "0")))
        bucket, _, name = unquote(urlsplit(self.path).path).lstrip("/").partition("/")
        with self.server.lock:
            self.server.asked.append(f"{self.command} {name}")
            if self.server.failing:
                self.server.failing -= 1
                self._send(503, _error("SlowDown"))
            elif refusal := self._refusal(body):
                self._send(403, _error(refusal))
            elif bucket != BUCKET:
                self._send(404, _error("NoSuchBucket"))
            elif self.command == "PUT":
                self._put(name, body)
            elif name and name not in self.server.files:
                self._send(404, _error("NoSuchKey"))
            else:
                self._send(200, self.server.files.get(name, b""))

    def _put(self, name: str, body: bytes) -> None:
        checksum = base64.b64encode(hashlib.sha256(body).digest()).decode()
        if self.headers.get("x-amz-checksum-sha256") != checksum:
            self._send(400, _error("BadDigest"))
        elif self.headers.get("If-None-Match") == "*" and name in self.server.files:
            self._send(412, _error("PreconditionFailed"))
        else:
            self.server.files[name] = body
            self._send(200, b"")

    def _refusal(self, body: bytes) -> str:
        headers = {name.lower(): value for name, value in self.headers.items()}
        if headers.get("x-amz-content-sha256") != hashlib.sha256(body).hexdigest():
            return "XAmzContentSHA256Mismatch"
        said = dict(
            part.strip().split("=", 1) for part in headers["authorization"].split(" ", 1)[1].split(",")
        )
        key, _, scope = said["Credential"].partition("/")
        parts = urlsplit(self.path)
        signed = said["SignedHeaders"].split(";")
        right = signature(self.command, parts.path, parts.query, headers, signed, scope, SECRET)
        return "" if key == KEY and hmac.compare_digest(right, said["Signature"]) else "SignatureDoesNotMatch"

    def _send(self, status: int, body: bytes) -> None:
        self.send_response(status)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)


def _error(code: str) -> bytes:
    return f'<?xml version="1.0"?><Error><Code>{code}</Code><Message>{code}</Message></Error>'.encode()


@contextmanager
def running() -> Iterator[Store]:
    """Serve until the end of the block."""
    store = Store()
    thread = threading.Thread(target=store.serve_forever, daemon=True)
    thread.start()
    try:
        yield store
    finally:
        store.shutdown()
        store.server_close()
        thread.join()
