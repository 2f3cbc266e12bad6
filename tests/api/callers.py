"""Callers of the API: a test client with a token of one person."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any

from django.test import Client

from logbook.accounts.commands import create_token
from logbook.accounts.models import User
from logbook.common.changes import Actor

ALL = ("read", "record", "edit")


@dataclass
class Caller:
    """Sends JSON with a token; ``answer`` of a call is Django's response."""

    secret: str
    scheme: str = "Bearer"
    client: Client = field(default_factory=lambda: Client(raise_request_exception=False))

    def _send(self, method: str, address: str, body: Any = None) -> Any:
        headers = {"Authorization": f"{self.scheme} {self.secret}"} if self.secret else {}
        content = body if isinstance(body, bytes) else json.dumps(body, ensure_ascii=True)
        extra = {} if body is None else {"data": content, "content_type": "application/json"}
        return self.client.generic(method, f"/api/v1/{address}", headers=headers, **extra)

    def get(self, address: str) -> Any:
        return self._send("GET", address)

    def post(self, address: str, body: Any) -> Any:
        return self._send("POST", address, body)

    def put(self, address: str, body: Any) -> Any:
        return self._send("PUT", address, body)

    def patch(self, address: str, body: Any) -> Any:
        return self._send("PATCH", address, body)

    def delete(self, address: str) -> Any:
        return self._send("DELETE", address)


def caller_for(user: User, *scopes: str) -> Caller:
    """Return a caller with a new token of ``user``; all scopes when none is named."""
    _, secret = create_token(actor=Actor(user, "page"), user=user, name="test", scopes=scopes or ALL)
    return Caller(secret)


def problem_of(response: Any, status: int) -> dict[str, Any]:
    """Return the problem of a refused call, having checked that it has the one shape."""
    assert response.status_code == status, response.content
    assert response.headers["Content-Type"] == "application/problem+json"
    body: dict[str, Any] = response.json()
    assert set(body) - {"instance"} == {"type", "title", "status", "detail", "code", "problems"}
    assert body["status"] == status
    assert body["detail"]
    for one in body["problems"]:
        assert set(one) == {"field", "message", "given", "allowed", "code"}
    return body
