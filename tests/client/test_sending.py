"""What is neither a verdict nor a refusal leaves everything waiting; a bad reading costs only itself."""

from __future__ import annotations

import itertools
import json
import time
from email.utils import formatdate

import pytest
from board_logbook_client import Logbook
from board_logbook_client.sending import FIRST_DELAY_S, LONGEST_DELAY_S, Sender, delay_s
from board_logbook_client.site import LONGEST_RETRY_AFTER_S, retry_after_s

from tests.client.serving import Served
from tests.client.wire import CUT_ANSWER, PASS, REFUSE, Happens, Wire, answered

pytestmark = pytest.mark.xdist_group("client")
HERE = {"project": "tern", "board": "0001"}
PROBLEM = {"type": "about:blank", "title": "?", "detail": "no use", "code": "internal_error", "problems": []}


def spooled(logbook: Logbook, wire: Wire, count: int, note: str) -> list[str]:
    """Record while there is no network and return the keys."""
    wire.always, patience = REFUSE, logbook.patience_s
    logbook.patience_s = 0
    keys = [logbook.record("RLD-1", 3.3, "V", note=f"{note} {number}", **HERE).key for number in range(count)]
    wire.always, logbook.patience_s = PASS, patience
    return keys


@pytest.mark.parametrize(
    ("answer", "trouble"),
    [
        (answered("503 Service Unavailable", {**PROBLEM, "status": 503}), "503: no use"),
        (answered("429 Too Many Requests", {**PROBLEM, "status": 429}), "429: no use"),
        (answered("401 Unauthorized", {**PROBLEM, "status": 401}), "401: no use"),
        (answered("403 Forbidden", {**PROBLEM, "status": 403}), "403: no use"),
        (answered("404 Not Found", {**PROBLEM, "status": 404}), "404: no use"),
        (answered("502 Bad Gateway"), "502 without an answer of Board Logbook"),
        (answered("400 Bad Request"), "400 without an answer of Board Logbook"),
        (answered("200 OK"), "200 without an answer of Board Logbook"),
        (answered("200 OK", {"results": []}), "200 without"),
        (answered("200 OK", {"results": ["stored"]}), "200 without"),
        (answered("200 OK", {"results": [{"status": "fine"}]}), "200 without"),
        (answered("302 Found", None, "Location: http://127.0.0.1:9/login"), "moved to http://127.0.0.1:9/login"),
        (b"no HTTP at all\r\n\r\n", "did not answer"),
        (b"", "did not answer"),
    ],
    ids=[
        "busy", "too many", "token", "scope", "address", "gateway", "host", "portal", "empty", "words",
        "unknown", "moved", "other", "nothing",
    ],
)  # fmt: skip
def test_an_answer_that_speaks_of_no_reading_leaves_it_waiting(
    logbook: Logbook, wire: Wire, answer: bytes, trouble: str
) -> None:
    wire.plan.append(answer)
    logbook.patience_s = 0
    recorded = logbook.record("RLD-1", 3.3, "V", **HERE)
    assert recorded.status == "waiting"
    assert trouble in recorded.reason
    assert len(wire.requests) == 1
    assert logbook.flush(5).waiting == 0
    assert logbook.look_up(recorded.key).verdict == "pass"


def test_a_wrong_token_shows_nowhere_and_rejects_nothing(site: Served, wire: Wire, logbook: Logbook) -> None:
    with Logbook(wire.address, "wrong.secret", spool=logbook.spool.path, patience_s=0) as wrong:
        recorded = wrong.record("RLD-1", 3.3, "V", **HERE)
        assert recorded.status == "waiting"
        assert "secret" not in f"{recorded!r} {wrong.site!r} {wrong.trouble}"
    assert b"secret" not in logbook.spool.path.read_bytes()
    assert logbook.flush(5).waiting == 0


def test_it_waits_as_long_as_the_site_asks(logbook: Logbook, wire: Wire) -> None:
    wire.plan.append(answered("503 Service Unavailable", {**PROBLEM, "status": 503}, "Retry-After: 2"))
    begun = time.monotonic()
    assert logbook.record("RLD-1", 3.3, "V", **HERE).verdict == "pass"
    assert time.monotonic() - begun >= 2


def test_a_wait_that_is_over_when_it_is_looked_at_is_no_error(logbook: Logbook, wire: Wire) -> None:
    ticks = itertools.count(1_000_000_000, 100)
    logbook._sender = Sender(logbook.spool, logbook.site, now=lambda: float(next(ticks)))
    wire.plan.append(REFUSE)
    assert logbook.record("RLD-1", 3.3, "V", **HERE).verdict == "pass"


def test_waits_double_with_jitter_to_a_longest() -> None:
    for failures in range(1, 40):
        longest = min(FIRST_DELAY_S * 2 ** (failures - 1), LONGEST_DELAY_S)
        found = [delay_s(failures) for _ in range(50)]
        assert longest / 2 <= min(found) < max(found) <= longest
    assert delay_s(1, asked_s=30) == 30


def test_retry_after_is_read_in_both_forms_of_rfc_9110() -> None:
    assert retry_after_s("120") == 120
    assert 55 < retry_after_s(formatdate(time.time() + 60, usegmt=True)) <= 60
    assert retry_after_s("Fri, 31 Dec 1999 23:59:59 GMT") == 0  # the example of RFC 9110, 10.2.3, long past
    assert retry_after_s("999999") == LONGEST_RETRY_AFTER_S
    assert [retry_after_s(text) for text in ("soon", "", None)] == [0, 0, 0]


def stumbles_over(word: bytes, status: str) -> Happens:
    """Return a site that cannot digest one reading, and takes any list without it."""
    problem = {**PROBLEM, "status": int(status[:3])}
    return lambda request: answered(status, problem) if word in request else PASS


@pytest.mark.parametrize(
    ("status", "end"), [("500 Internal Server Error", "waiting"), ("400 Bad Request", "rejected")]
)
def test_a_reading_the_site_cannot_digest_costs_only_itself(
    logbook: Logbook, wire: Wire, site: Served, status: str, end: str
) -> None:
    keys = spooled(logbook, wire, 7, f"digest {end}")
    wire.always = stumbles_over(f"digest {end} 3".encode(), status)
    logbook.flush(3)
    ends = [logbook.look_up(key).status for key in keys]
    assert ends == ["sent"] * 3 + [end] + ["sent"] * 3
    order = [one["note"] for one in site.readings(f"digest {end}")]
    assert order == [f"digest {end} {number}" for number in (0, 1, 2, 4, 5, 6)]


def test_a_site_that_answers_everything_with_500_is_left_alone(logbook: Logbook, wire: Wire) -> None:
    spooled(logbook, wire, 20, "all 500")
    wire.always = answered("500 Internal Server Error", {**PROBLEM, "status": 500})
    logbook.flush(0)
    assert logbook.counts().rejected == 0
    assert len(wire.requests) < 12


def test_a_list_too_large_for_what_stands_before_the_site_is_halved(
    logbook: Logbook, wire: Wire, site: Served
) -> None:
    spooled(logbook, wire, 6, "large")
    wire.always = lambda request: answered("413 Content Too Large") if len(request) > 900 else PASS
    assert logbook.flush(5).waiting == 0
    assert [one["note"] for one in site.readings("large")] == [f"large {number}" for number in range(6)]


def test_a_list_cut_after_the_site_stored_it_is_not_stored_twice(
    logbook: Logbook, wire: Wire, site: Served
) -> None:
    keys = spooled(logbook, wire, 9, "list")
    wire.plan.append(CUT_ANSWER)
    assert logbook.flush(5).waiting == 0
    assert [one["key"] for one in site.readings("list")] == keys
    assert [logbook.look_up(key).verdict for key in keys] == ["pass"] * 9


def test_one_refused_in_a_list_does_not_stop_the_others(logbook: Logbook, wire: Wire, site: Served) -> None:
    spooled(logbook, wire, 2, "mixed")
    logbook.keep("", {"target": "NONE", "value": 1, "unit": "V", **HERE}, {})
    logbook.keep("", {"target": "RLD-1", "value": 3.3, "unit": "V", **HERE}, {"note": "mixed 2"})
    counts = logbook.flush(5)
    assert (counts.waiting, counts.sent, counts.rejected) == (0, 3, 1)
    assert len(site.readings("mixed")) == 3


def test_readings_of_another_site_stay(logbook: Logbook, site: Served, wire: Wire) -> None:
    spooled(logbook, wire, 1, "other site")
    with Logbook(site.address, site.token, spool=logbook.spool.path) as direct:
        assert direct.flush(1).waiting == 0
    assert logbook.counts().waiting == 1
    assert site.readings("other site") == []


def test_the_key_sent_is_the_key_kept(logbook: Logbook, wire: Wire) -> None:
    key = logbook.record("RLD-1", 3.3, "V", **HERE).key
    assert json.dumps(key) in json.dumps(wire.bodies()[0])
