"""A script asks what is next, walks through the bench plan, and lists what nobody has read."""

from __future__ import annotations

import pytest
from board_logbook_client import Logbook, RefusedError, UnreachableError

from tests.client.serving import Served
from tests.client.wire import PASS, REFUSE, Wire

pytestmark = pytest.mark.xdist_group("client")


def test_what_is_next_is_the_plan_of_the_site(logbook: Logbook, site: Served) -> None:
    plan = site.ask("projects/plover/revisions/A/bench-plan/?minutes=30&board=0001")["checks"]
    found = logbook.what_next("plover", ["0001"], minutes=30)
    assert [(one.target, one.board, one.minutes, one.reason) for one in found] == [
        (one["target"], one["board"], one["minutes"], one["reason"]) for one in plan
    ]
    assert found


def test_walking_the_plan_reads_what_is_needed_first(logbook: Logbook, wire: Wire) -> None:
    before = {one.target for one in logbook.untested("tern", "0002")}
    assert {"RLD-3", "RLD-4"} <= before
    walked = []
    with logbook.session("tern", "0002", "walk") as bench:
        for check in bench.walk(minutes=120):
            walked.append(check.target)
            assert bench.record(check.target, 3.3, "V", point=check.point).verdict == "pass"
            # Without an answer the plan last made is gone through.
            if len(walked) == 1:
                wire.plan.append(REFUSE)
    assert walked.index("RLD-3") < walked.index("RLD-4")
    assert len(walked) == len(set(walked))
    assert not {"RLD-3", "RLD-4"} & {one.target for one in logbook.untested("tern", "0002")}


def test_a_check_not_read_is_proposed_once(logbook: Logbook) -> None:
    proposed = [(one.target, one.board) for one in logbook.walk("plover", ["0001"], minutes=120)]
    assert len(proposed) == len(set(proposed)) > 0


def test_a_point_not_read_is_untested(logbook: Logbook) -> None:
    def untested() -> list[str]:
        return [one.point for one in logbook.untested("wren", "0002") if one.target == "RLD-5"]

    assert untested() == ["CH1", "CH2"]
    recorded = logbook.record("RLD-5", 3.3, "V", project="wren", board="0002", point="CH1")
    assert recorded.verdict == "pass"
    assert untested() == ["CH2"]


def test_a_refusal_is_told_with_its_reason(logbook: Logbook) -> None:
    with pytest.raises(RefusedError, match="9999") as refused:
        logbook.untested("tern", "9999")
    assert refused.value.problem["status"] == 404


def test_without_an_answer_there_is_no_plan(logbook: Logbook, wire: Wire) -> None:
    wire.always = REFUSE
    with pytest.raises(UnreachableError, match="did not answer"):
        logbook.what_next("tern", ["0001"])
    wire.always = PASS


def test_a_board_must_be_named(logbook: Logbook) -> None:
    with pytest.raises(ValueError, match="at least one board"):
        logbook.what_next("tern", [])
