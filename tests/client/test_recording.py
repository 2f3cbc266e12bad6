"""A reading gets its verdict while the site answers, and is neither lost nor doubled while it does not."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from board_logbook_client import Logbook

from tests.client.serving import ROOT, Served
from tests.client.wire import CUT_ANSWER, CUT_REQUEST, HALF_ANSWER, PASS, REFUSE, STALL, Wire

pytestmark = pytest.mark.xdist_group("client")
HERE = {"project": "tern", "board": "0001"}


def test_it_answers_with_the_verdict(logbook: Logbook, site: Served) -> None:
    recorded = logbook.record("RLD-1", "3.298", "V", expanded_uncertainty=0.004, note="plain", **HERE)
    assert (recorded.status, recorded.verdict) == ("sent", "pass")
    assert str(recorded) == "pass - inside 3.234 … 3.366 V by 64 mV, 16 times the uncertainty U = 4 mV"
    assert [one["key"] for one in site.readings("plain")] == [recorded.key]


@pytest.mark.parametrize("happens", [REFUSE, CUT_REQUEST, CUT_ANSWER, HALF_ANSWER])
def test_a_cut_connection_costs_only_a_retry(
    logbook: Logbook, wire: Wire, site: Served, happens: str
) -> None:
    wire.plan.append(happens)
    recorded = logbook.record("RLD-1", 3.3, "V", note=happens, **HERE)
    assert (recorded.status, recorded.verdict) == ("sent", "pass")
    assert len(site.readings(happens)) == 1


def test_the_retry_after_a_lost_answer_finds_the_stored_reading(logbook: Logbook, wire: Wire) -> None:
    wire.plan.append(CUT_ANSWER)
    recorded = logbook.record("RLD-1", 3.3, "V", **HERE)
    assert recorded.answer is not None
    assert recorded.answer["status"] == "duplicate"
    first, second = wire.bodies()
    assert first == second


def test_without_a_network_it_keeps_the_reading_and_tells_the_verdict_later(
    logbook: Logbook, wire: Wire
) -> None:
    wire.always = REFUSE
    logbook.patience_s = 0
    recorded = logbook.record("RLD-1", 3.5, "V", **HERE)
    assert (recorded.status, recorded.verdict) == ("waiting", None)
    assert str(recorded).startswith("waiting - kept on this computer: http://127.0.0.1:")
    wire.always = "pass"
    assert logbook.flush(5).waiting == 0
    assert logbook.look_up(recorded.key).verdict == "fail"


def test_a_site_that_hangs_is_left_alone_by_the_next_readings(logbook: Logbook, wire: Wire) -> None:
    logbook.site.__dict__["timeout_s"] = 0.3
    logbook.patience_s = 0
    wire.always = STALL
    for _ in range(5):
        assert logbook.record("RLD-1", 3.3, "V", **HERE).status == "waiting"
    assert len(wire.requests) == 1


def test_what_waited_arrives_before_the_reading_that_follows(
    logbook: Logbook, wire: Wire, site: Served
) -> None:
    wire.always = REFUSE
    logbook.patience_s = 0
    for number in range(3):
        logbook.record("RLD-1", 3.3, "V", note=f"order {number}", **HERE)
    wire.always = "pass"
    logbook.patience_s = 5
    assert logbook.record("RLD-1", 3.3, "V", note="order 3", **HERE).verdict == "pass"
    assert [one["note"] for one in site.readings("order")] == [f"order {number}" for number in range(4)]


@pytest.mark.parametrize(
    ("given", "reason"),
    [
        ({"board": "9999"}, "board: "),
        ({"target": "NONE-1"}, "target: "),
        ({"value": float("nan")}, "value: "),
        ({"value": "9 A"}, "A"),
        ({"project": "absent"}, "absent"),
        ({"taken_at": "2030-01-01T00:00:00Z"}, "taken_at: "),
        ({"taken_at": "yesterday"}, "taken_at: "),
    ],
    ids=["board", "target", "not a number", "unit", "project", "in the future", "no moment"],
)
def test_a_refused_reading_stays_visible_with_the_reason(
    logbook: Logbook, given: dict[str, object], reason: str
) -> None:
    whole = {"target": "RLD-1", "value": 3.3, "unit": "V", **HERE, **given}
    recorded = logbook.record(**whole)  # type: ignore[arg-type]
    assert (recorded.status, recorded.verdict) == ("rejected", None)
    assert reason in recorded.reason
    assert logbook.counts().rejected == 1
    assert logbook.record("RLD-1", 3.3, "V", **HERE).verdict == "pass"


RECORD = """
import sys
from board_logbook_client import Logbook
with Logbook(patience_s=30) as logbook:
    for number in range(10):
        note = f"together {sys.argv[1]} {number}"
        print(logbook.record("RLD-1", 3.3, "V", project="tern", board="0001", note=note).verdict)
"""


def test_several_scripts_share_a_spool_and_each_keeps_its_order(
    wire: Wire, site: Served, tmp_path: Path
) -> None:
    environment = {
        "LOGBOOK_URL": wire.address,
        "LOGBOOK_TOKEN": site.token,
        "LOGBOOK_SPOOL": str(tmp_path / "spool.sqlite3"),
        "PYTHONPATH": str(ROOT / "api" / "client"),
    }
    wire.plan.extend([PASS, CUT_ANSWER, PASS, CUT_REQUEST, REFUSE])
    scripts = [
        subprocess.Popen(
            [sys.executable, "-c", RECORD, who], env=environment, stdout=subprocess.PIPE, text=True
        )
        for who in "abc"
    ]
    assert [script.communicate(timeout=120)[0].split() for script in scripts] == [["pass"] * 10] * 3
    for who in "abc":
        notes = [one["note"] for one in site.readings(f"together {who}")]
        assert notes == [f"together {who} {number}" for number in range(10)]


GO_ON = """
from board_logbook_client import Logbook
with Logbook(patience_s=30) as logbook:
    for number in range(1000):
        logbook.record("RLD-1", 3.3, "V", project="tern", board="0001", note=f"NAME {number}")
        print(number, flush=True)
"""


@pytest.mark.parametrize("reaches_the_site", [True, False], ids=["stored", "not stored"])
def test_a_script_killed_in_the_middle_of_a_reading_loses_it_not(
    wire: Wire, site: Served, tmp_path: Path, *, reaches_the_site: bool
) -> None:
    """SIGKILL while the sixth request is on its way: whether the site stores it or not, it is there once."""
    name = f"killed {reaches_the_site}"
    environment = {
        "LOGBOOK_URL": wire.address,
        "LOGBOOK_TOKEN": site.token,
        "LOGBOOK_SPOOL": str(tmp_path / "spool.sqlite3"),
        "PYTHONPATH": str(ROOT / "api" / "client"),
    }
    script = subprocess.Popen(
        [sys.executable, "-c", GO_ON.replace("NAME", name)],
        env=environment, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip

    def kill(_: bytes) -> str:
        script.kill()
        script.wait()
        return CUT_ANSWER if reaches_the_site else REFUSE

    wire.plan.extend([*[PASS] * 5, kill])
    said = [int(line) for line in script.communicate(timeout=60)[0].split()]
    assert said == list(range(5))
    with Logbook(wire.address, site.token, spool=tmp_path / "spool.sqlite3") as after:
        assert after.counts().waiting == 1
        assert after.flush(10).waiting == 0
    assert [one["note"] for one in site.readings(name)] == [f"{name} {number}" for number in range(6)]


def test_a_key_of_the_script_records_once(logbook: Logbook, site: Served) -> None:
    first = logbook.record("RLD-1", 3.3, "V", key="cycle-7", note="own key", **HERE)
    again = logbook.record("RLD-1", 3.3, "V", key="cycle-7", note="own key", **HERE)
    assert again == first
    assert len(site.readings("own key")) == 1


def test_a_used_key_with_another_value_is_rejected_and_nothing_is_lost(logbook: Logbook) -> None:
    logbook.record("RLD-1", 3.3, "V", key="cycle-8", **HERE)
    other = logbook.record("RLD-1", 3.31, "V", key="cycle-8", **HERE)
    assert other.status == "rejected"
    assert "already used" in other.reason


@pytest.mark.parametrize(
    ("given", "complaint"),
    [
        ({"board": 6}, "'0006' is not board 6"),
        ({"probe": "x10"}, "probe: no field"),
        ({"value": object()}, "neither"),
    ],
    ids=["board as number", "unknown field", "no value"],
)
def test_what_no_site_could_take_is_refused_before_it_is_kept(
    logbook: Logbook, given: dict[str, object], complaint: str
) -> None:
    whole = {"target": "RLD-1", "value": 3.3, "unit": "V", **HERE, **given}
    with pytest.raises(TypeError, match=complaint):
        logbook.record(**whole)  # type: ignore[arg-type]
    assert logbook.counts().waiting == 0
