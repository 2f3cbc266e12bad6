"""A bench session says once what is the same for all its readings, also where the network is gone."""

from __future__ import annotations

from typing import Any

import pytest
from board_logbook_client import Logbook

from tests.client.serving import Served
from tests.client.wire import CUT_ANSWER, PASS, REFUSE, Wire, answered

pytestmark = pytest.mark.xdist_group("client")


def sessions(site: Served, title: str) -> list[dict[str, Any]]:
    found = site.ask("projects/tern/bench-sessions/?limit=500")["results"]
    return [one for one in found if one["title"] == title]


def test_readings_carry_session_firmware_and_ambient(logbook: Logbook, site: Served) -> None:
    with logbook.session(
        "tern", "0002", "whole", firmware="0.6.0", instruments=["DMM-1"], ambient_c=23.5, place="bench 2"
    ) as bench:
        recorded = bench.record("RLD-1", "3.30", "V", instrument="DMM-1")
        bench.next_step = "RLD-2"
    (session,) = sessions(site, "whole")
    assert recorded.answer is not None
    assert recorded.answer["bench_session"] == session["id"]
    assert recorded.answer["firmware"] == session["firmware"] == "0.6.0"
    assert recorded.answer["conditions"] == {"ambient_c": 23.5}
    assert (session["boards"], session["instruments"]) == (["0002"], ["DMM-1"])
    assert (session["ambient_c"], session["place"], session["next_step"]) == (23.5, "bench 2", "RLD-2")
    assert session["ended_at"] > session["started_at"]


def test_a_whole_session_without_a_network_arrives_later(logbook: Logbook, wire: Wire, site: Served) -> None:
    wire.always, logbook.patience_s = REFUSE, 0
    with logbook.session("tern", "0002", "offline") as bench:
        assert bench.record("RLD-1", 3.3, "V", note="offline").status == "waiting"
    wire.always = PASS
    assert logbook.flush(10).waiting == 0
    (session,) = sessions(site, "offline")
    assert session["ended_at"] is not None
    assert [one["bench_session"] for one in site.readings("offline")] == [session["id"]]


def test_a_lost_answer_opens_no_second_session(logbook: Logbook, wire: Wire, site: Served) -> None:
    wire.plan.append(CUT_ANSWER)
    with logbook.session("tern", "0002", "once") as bench:
        assert bench.record("RLD-1", 3.3, "V").status == "sent"
    assert len(sessions(site, "once")) == 1


def test_a_refused_session_is_visible_and_its_readings_arrive_without_it(
    logbook: Logbook, site: Served
) -> None:
    with logbook.session("tern", "0002", "refused", instruments=["NONE-9"]) as bench:
        recorded = bench.record("RLD-1", 3.3, "V")
    assert (recorded.status, recorded.answer and recorded.answer["bench_session"]) == ("sent", None)
    assert sessions(site, "refused") == []
    opening, closing = logbook.spool.with_status("rejected")
    assert "NONE-9" in str(opening.problem)
    assert closing.problem == {"detail": "its bench session was not opened on the site"}


def test_a_session_the_site_stumbles_over_does_not_hold_its_readings_for_ever(
    logbook: Logbook, wire: Wire, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("board_logbook_client.sending.FIRST_DELAY_S", 0.01)
    problem = {"status": 500, "detail": "stumbled", "problems": []}
    wire.always = lambda request: (
        answered("500 Internal Server Error", problem)
        if request.startswith(b"POST") and b"bench-sessions" in request
        else PASS
    )
    with logbook.session("tern", "0002", "stumble") as bench:
        recorded = bench.record("RLD-1", 3.3, "V")
    assert recorded.status == "sent"
    assert [one.status for one in logbook.spool.with_key(wire.address, bench.key)] == ["rejected"] * 2


def test_an_error_in_its_block_closes_it_and_comes_through(logbook: Logbook, site: Served) -> None:
    with pytest.raises(ZeroDivisionError), logbook.session("tern", "0002", "error"):
        raise ZeroDivisionError
    assert sessions(site, "error")[0]["ended_at"] is not None
