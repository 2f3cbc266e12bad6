"""``ETag`` and ``If-Match`` of a target: 412 where the version changed (RFC 9110, 13.1.1)."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

ADDRESS = "/api/v1/projects/tern/targets/RLD-2/"


@pytest.fixture
def editor(bench: Bench) -> Caller:
    bench.target()
    return caller_for(bench.editor)


def send(caller: Caller, method: str, address: str, body: dict[str, object], tag: str) -> Any:
    headers = {"Authorization": f"Bearer {caller.secret}", "If-Match": tag}
    data = json.dumps(body)
    return caller.client.generic(method, address, data, content_type="application/json", headers=headers)


def test_the_tag_of_an_answer_lets_the_next_change_through(editor: Caller) -> None:
    tag = editor.get("projects/tern/targets/RLD-2/").headers["ETag"]
    first = send(editor, "PATCH", ADDRESS, {"minutes": 9}, tag)
    assert first.status_code == 200
    assert send(editor, "PATCH", ADDRESS, {"minutes": 8}, first.headers["ETag"]).status_code == 200


@pytest.mark.parametrize(
    ("method", "end", "body"),
    [
        ("PATCH", "", {"minutes": 8}),
        ("POST", "issues/", {"limits": "1..2 V", "reason": "guess"}),
    ],
    ids=["plan", "issue"],
)
def test_an_old_tag_is_refused_with_the_name_of_who_changed(
    editor: Caller, method: str, end: str, body: dict[str, object]
) -> None:
    tag = editor.get("projects/tern/targets/RLD-2/").headers["ETag"]
    send(editor, "PATCH", ADDRESS, {"minutes": 9}, tag)
    refused = problem_of(send(editor, method, ADDRESS + end, body, tag), 412)
    assert refused["code"] == "changed_meanwhile"
    assert "editor-tern changed minutes from 5 to 9" in refused["detail"]
    assert editor.get("projects/tern/targets/RLD-2/").json()["minutes"] == 9


def test_any_version_will_do_for_a_star_and_nonsense_is_named(editor: Caller) -> None:
    assert send(editor, "PATCH", ADDRESS, {"minutes": 7}, "*").status_code == 200
    refused = problem_of(send(editor, "PATCH", ADDRESS, {"minutes": 6}, "yesterday"), 400)
    assert refused["problems"][0]["field"] == "If-Match"
