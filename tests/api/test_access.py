"""Who may do what: tokens, scopes and roles."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from logbook.accounts.commands import create_token, revoke_token
from logbook.accounts.models import ApiToken
from logbook.common.changes import Actor
from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

READ = ("GET", "projects/tern/")
RECORD = ("POST", "measurements/", {"project": "tern", "board": "0001", "value": "1 V", "note": "loose"})
EDIT = ("PATCH", "projects/tern/", {"purpose": "to know"})
MANAGE = ("POST", "projects/tern/members/", {"user": "stranger-tern", "role": "reader"})
CALLS = {"read": READ, "record": RECORD, "edit": EDIT, "manage": MANAGE}


def status_of(caller: Caller, call: str) -> int:
    method, address, *body = CALLS[call]
    return int(caller._send(method, address, *body).status_code)


@pytest.mark.parametrize(
    ("role", "expected"),
    [
        ("owner", {"read": 200, "record": 201, "edit": 200, "manage": 200}),
        ("editor", {"read": 200, "record": 201, "edit": 200, "manage": 403}),
        ("reader", {"read": 200, "record": 403, "edit": 403, "manage": 403}),
        ("stranger", {"read": 404, "record": 404, "edit": 404, "manage": 404}),
    ],
)
def test_it_asks_for_the_role(bench: Bench, role: str, expected: dict[str, int]):
    caller = caller_for(getattr(bench, role))
    assert {call: status_of(caller, call) for call in CALLS} == expected


@pytest.mark.parametrize(
    ("scopes", "expected"),
    [
        (("read",), {"read": 200, "record": 403, "edit": 403, "manage": 403}),
        (("record",), {"read": 403, "record": 201, "edit": 403, "manage": 403}),
        (("edit",), {"read": 403, "record": 403, "edit": 200, "manage": 200}),
        (("read", "record"), {"read": 200, "record": 201, "edit": 403, "manage": 403}),
    ],
    ids=" ".join,
)
def test_it_asks_for_the_scope(bench: Bench, scopes: tuple[str, ...], expected: dict[str, int]):
    caller = caller_for(bench.owner, *scopes)
    assert {call: status_of(caller, call) for call in CALLS} == expected


def test_it_names_the_scope_that_is_missing(bench: Bench):
    problem = problem_of(caller_for(bench.owner, "read").patch("projects/tern/", {}), 403)
    assert "edit" in problem["detail"]


@pytest.mark.parametrize("secret", ["", "garbage", "a.b", "ümlaut", "abcdefgh." + "x" * 32])
def test_it_refuses_what_is_no_token(bench: Bench, secret: str):
    response = Caller(secret.encode().decode("latin-1")).get("projects/")
    problem_of(response, 401)
    assert response.headers["WWW-Authenticate"].startswith("Bearer")


def test_it_refuses_another_scheme(bench: Bench):
    caller = caller_for(bench.owner)
    caller.scheme = "Token"
    assert problem_of(caller.get("projects/"), 401)["code"] == "wrong_scheme"


def test_it_refuses_a_revoked_token(bench: Bench):
    caller = caller_for(bench.owner)
    revoke_token(actor=bench.actor, token=ApiToken.objects.get())
    assert "revoked" in problem_of(caller.get("projects/"), 401)["detail"]


def test_it_refuses_an_expired_token(bench: Bench):
    _, secret = create_token(
        actor=Actor(bench.owner, "page"),
        user=bench.owner,
        name="short",
        scopes=["read"],
        expires_at=timezone.now() + timedelta(hours=1),
    )
    with time_machine.travel(timezone.now() + timedelta(hours=2)):
        assert "expired" in problem_of(Caller(secret).get("projects/"), 401)["detail"]


def test_it_gives_a_session_of_the_browser_no_access(bench: Bench):
    caller = Caller("")
    caller.client.force_login(bench.owner)
    problem_of(caller.get("projects/"), 401)


def test_it_says_the_same_of_a_project_hidden_and_one_that_is_not(bench: Bench):
    stranger = caller_for(bench.stranger)
    hidden = problem_of(stranger.get("projects/tern/"), 404)["detail"]
    missing = problem_of(stranger.get("projects/heron/"), 404)["detail"]
    assert hidden.replace("tern", "heron") == missing


GET = [
    "",
    "members/",
    "subsystems/",
    "subsystems/RLD/",
    "revisions/",
    "revisions/A/",
    "revisions/A/designed-positions/",
    "revisions/A/coverage/",
    "revisions/A/risks/",
    "revisions/A/dispositions/",
    "revisions/A/not-applicable/",
    "revisions/A/bench-plan/",
    "boards/",
    "boards/0001/",
    "boards/0001/events/",
    "boards/0001/option-settings/",
    "targets/",
    "targets/RLD-2/",
    "targets/RLD-2/issues/",
    "bench-sessions/",
    "reworks/",
    "options/",
]


@pytest.mark.parametrize("address", GET)
def test_it_shows_a_stranger_nothing_and_a_reader_everything(bench: Bench, address: str):
    bench.target()
    assert caller_for(bench.reader, "read").get(f"projects/tern/{address}").status_code == 200
    problem_of(caller_for(bench.stranger, "read").get(f"projects/tern/{address}"), 404)
    problem_of(caller_for(bench.reader, "record").get(f"projects/tern/{address}"), 403)


POST: list[tuple[str, dict[str, Any]]] = [
    ("subsystems/", {"key": "CLK", "name": "clocks", "kind": "clocks"}),
    ("revisions/", {"label": "B"}),
    ("revisions/A/designed-positions/", {"option": "JP1", "position": "1-2"}),
    ("revisions/A/dispositions/", {"rows": [{"target": "RLD-2"}], "decision": "change"}),
    ("revisions/A/not-applicable/", {"target": "RLD-2", "reason": "no such output"}),
    ("boards/", {"serial": "0002", "revision": "A"}),
    ("boards/0001/events/", {"state": "lent"}),
    ("boards/0001/option-settings/", {"option": "JP1", "position": None}),
    ("targets/", {"key": "RLD-9", "name": "rail", "subsystem": "RLD", "limits": "3.3 V ± 2 %"}),
    ("targets/RLD-2/issues/", {"reason": "new regulator"}),
    ("bench-sessions/", {"title": "first power"}),
    (
        "reworks/",
        {
            "board": "0001",
            "key": "RW-1",
            "kind": "wire link",
            "intent": "repair",
            "what": "wire",
            "subsystems": ["RLD"],
        },
    ),
    ("options/", {"key": "JP2", "name": "strap", "subsystem": "RLD", "positions": [{"name": "open"}]}),
]


@pytest.mark.parametrize(("address", "body"), POST, ids=[address for address, _ in POST])
def test_it_lets_an_editor_write_and_a_reader_and_a_stranger_not(
    bench: Bench, address: str, body: dict[str, Any]
):
    bench.target()
    option = {"key": "JP1", "name": "strap", "subsystem": "RLD", "positions": [{"name": "1-2"}]}
    editor = caller_for(bench.editor)
    editor.post("projects/tern/options/", option)
    problem_of(caller_for(bench.reader).post(f"projects/tern/{address}", body), 403)
    problem_of(caller_for(bench.stranger).post(f"projects/tern/{address}", body), 404)
    problem_of(caller_for(bench.editor, "read").post(f"projects/tern/{address}", body), 403)
    assert editor.post(f"projects/tern/{address}", body).status_code in (200, 201)


@pytest.mark.parametrize("who", ["reader", "stranger"])
def test_who_edits_no_project_may_not_change_instruments(bench: Bench, who: str) -> None:
    """Reported by a user's trial: a member of no project could rewrite the accuracy of every meter."""
    caller_for(bench.owner).post("instruments/", {"name": "M-1", "kind": "meter"})
    caller = caller_for(getattr(bench, who))
    calibration = {"number": "K1", "on": "2026-01-01", "result": "out of limits", "next_due": "2026-02-01"}
    for answer in (
        caller.post("instruments/", {"name": "M-2", "kind": "meter"}),
        caller.patch("instruments/M-1/", {"retired": True}),
        caller.post("instruments/M-1/calibrations/", calibration),
    ):
        assert problem_of(answer, 403)["code"] == "not_allowed"
