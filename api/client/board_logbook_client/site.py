"""One request to the site and its answer. Nothing here tries twice."""

from __future__ import annotations

import http.client
import json
import os
import time
import urllib.error
import urllib.request
from dataclasses import dataclass, field
from email.utils import parsedate_to_datetime
from typing import Any
from urllib.parse import urlsplit

from board_logbook_client.errors import NotSetUpError, RefusedError, UnreachableError

TIMEOUT_S = 10.0
LONGEST_RETRY_AFTER_S = 3600.0
PROBLEM = "application/problem+json"
LARGEST_ANSWER = 64 * 1024 * 1024


class _NoRedirects(urllib.request.HTTPRedirectHandler):
    """A followed POST would arrive as a GET, and the token at an address nobody chose."""

    def redirect_request(self, *_: Any, **__: Any) -> None:
        """Follow nothing; the answer is then told as it is."""


@dataclass(frozen=True)
class Answer:
    """What came back: the body is None where it is no JSON."""

    status: int
    body: Any
    is_problem: bool
    retry_after_s: float
    moved_to: str = ""

    @property
    def is_success(self) -> bool:
        """Say whether the site did what it was asked to."""
        return 200 <= self.status < 300 and self.body is not None

    def says(self) -> str:
        """Return in one line why this answer helps nobody."""
        if self.moved_to:
            return f"the site has moved to {self.moved_to}; set LOGBOOK_URL to it"
        if self.is_problem:
            return f"the site answered {self.status}: {self.body.get('detail', '')}"
        return f"{self.status} without an answer of Board Logbook: is LOGBOOK_URL the address of the site?"


@dataclass(frozen=True)
class Site:
    """The address of the site and the token to call with, which is never shown."""

    address: str
    token: str = field(repr=False)
    timeout_s: float = TIMEOUT_S

    @classmethod
    def named(cls, address: str = "", token: str = "", timeout_s: float = TIMEOUT_S) -> Site:
        """Return the site of the arguments, else of LOGBOOK_URL and LOGBOOK_TOKEN."""
        address = (address or os.environ.get("LOGBOOK_URL", "")).strip().rstrip("/")
        token = (token or os.environ.get("LOGBOOK_TOKEN", "")).strip()
        parts = urlsplit(address)
        if parts.scheme not in ("http", "https") or not parts.hostname or parts.query or parts.username:
            message = f"{address!r} is no address of a site; set LOGBOOK_URL, such as https://logbook.example"
            raise NotSetUpError(message)
        if not token or not token.isascii() or not token.isprintable() or " " in token:
            raise NotSetUpError("set LOGBOOK_TOKEN to a token of your account page, without blanks")
        return cls(address, token, timeout_s)

    def ask(self, path: str) -> Any:
        """Return what the site answers to a GET below ``/api/v1/``; raises where it refuses."""
        answer = self.send("GET", path)
        if answer.is_success:
            return answer.body
        if answer.is_problem and answer.status < 500 and answer.status != 429:
            raise RefusedError(answer.body)
        raise UnreachableError(answer.says(), answer.retry_after_s)

    def send(self, method: str, path: str, body: object = None) -> Answer:
        """Send one request; an ``UnreachableError`` where no whole answer came back."""
        headers = {"Authorization": f"Bearer {self.token}", "Accept": "application/json"}
        content = None
        if body is not None:
            content = json.dumps(body, allow_nan=False).encode()
            headers["Content-Type"] = "application/json"
        address = f"{self.address}/api/v1/{path}"
        request = urllib.request.Request(address, content, headers, method=method)
        opener = urllib.request.build_opener(_NoRedirects)
        try:
            with opener.open(request, timeout=self.timeout_s) as response:
                return _answer(response.status, response.headers, response.read(LARGEST_ANSWER))
        except urllib.error.HTTPError as error:
            with error:
                return self._answer_of(error)
        except (OSError, http.client.HTTPException) as error:
            reason = getattr(error, "reason", error)
            message = f"{self.address} did not answer: {reason or type(error).__name__}"
            raise UnreachableError(message) from error

    def _answer_of(self, error: urllib.error.HTTPError) -> Answer:
        try:
            return _answer(error.code, error.headers, error.read(LARGEST_ANSWER))
        except (OSError, http.client.HTTPException) as broken:
            message = f"{self.address} broke off in the middle of its answer"
            raise UnreachableError(message) from broken


def _answer(status: int, headers: Any, content: bytes) -> Answer:
    try:
        body = json.loads(content)
    except ValueError:
        body = None
    is_problem = status >= 400 and headers.get_content_type() == PROBLEM and isinstance(body, dict)
    moved_to = headers.get("Location", "") if 300 <= status < 400 else ""
    return Answer(status, body, is_problem, retry_after_s(headers.get("Retry-After")), moved_to)


def retry_after_s(text: str | None) -> float:
    """Return the seconds a site asks to wait (RFC 9110, 10.2.3: seconds or a date), at most an hour."""
    if not text:
        return 0.0
    if text.strip().isdigit():
        return min(float(text), LONGEST_RETRY_AFTER_S)
    try:
        seconds = parsedate_to_datetime(text).timestamp() - time.time()
    except (TypeError, ValueError):
        return 0.0
    return min(max(seconds, 0.0), LONGEST_RETRY_AFTER_S)
