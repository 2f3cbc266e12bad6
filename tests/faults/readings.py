"""The list that is posted while something breaks, and what a site must hold afterwards."""

from __future__ import annotations

import http.client
import json
import urllib.error
import urllib.request
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

LISTED = 10_000
PREPARE = """
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests.builders import build_bench
bench = build_bench()
bench.target("T1")
bench.target("T2", needs=["T1"])
bench.extra_board("0002")
"""


# What a site runs to record readings without a network.
RECORD = """
from logbook.accounts.models import User
from logbook.bench.commands import ReadingInput, record_readings
from logbook.common.changes import Actor
items = [ReadingInput("tern", "0001", "3.3", "T1", key=f"NAME {number}") for number in range(COUNT)]
record_readings(actor=Actor(User.objects.get(username="owner-tern"), "command"), items=items)
"""


@dataclass(frozen=True)
class Answer:
    """What came back: the body is JSON; status 0 where the connection broke."""

    status: int
    body: Any


def reading(key: str, number: int) -> dict[str, object]:
    """Return a reading; every third is out of limits, so that failing spans come and go."""
    return {
        "project": "tern", "board": f"000{1 + number % 2}", "target": f"T{1 + number // 2 % 2}",
        "value": "3.1" if number % 3 == 0 else f"3.{250 + number % 100}", "unit": "V", "key": key,
    }  # fmt: skip


def some_readings(name: str, count: int) -> str:
    """Return a script for the site itself that records readings with keys of their own."""
    return RECORD.replace("NAME", name).replace("COUNT", str(count))


def a_list(name: str, length: int = LISTED) -> list[dict[str, object]]:
    """Return readings with keys of their own."""
    return [reading(f"{name}-{number}", number) for number in range(length)]


def send(
    address: str,
    token: str,
    sent: object,
    *,
    method: str = "POST",
    path: str = "measurements/",
    tag: str = "",
) -> Answer:
    """Call the API; an error is an answer too."""
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    headers |= {"If-Match": tag} if tag else {}
    data = None if sent is None else json.dumps(sent).encode()
    return _answer(urllib.request.Request(f"{address}/api/v1/{path}", data, headers, method=method))


def upload(address: str, token: str, name: str, content: bytes) -> Answer:
    """Send a file as evidence of the project; an error is an answer too."""
    edge = "edge-of-a-test"
    head = (
        f'--{edge}\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n'
        "Content-Type: application/octet-stream\r\n\r\n"
    )
    body = head.encode() + content + f"\r\n--{edge}--\r\n".encode()
    headers = {"Authorization": f"Bearer {token}", "Content-Type": f"multipart/form-data; boundary={edge}"}
    request = urllib.request.Request(
        f"{address}/api/v1/projects/tern/evidence/", body, headers, method="POST"
    )
    return _answer(request)


def _answer(request: urllib.request.Request) -> Answer:
    try:
        with urllib.request.urlopen(request, timeout=120) as answer:
            return Answer(answer.status, json.load(answer))
    except urllib.error.HTTPError as refused:
        return Answer(refused.code, json.loads(refused.read() or b"null"))
    except (OSError, ValueError, http.client.HTTPException) as broken:
        return Answer(0, str(broken))


def counted(answers: Sequence[Answer]) -> dict[str, int]:
    """Return how many readings of some lists were stored, there already, or rejected."""
    return {name: sum(one.body[name] for one in answers) for name in ("stored", "duplicate", "rejected")}
