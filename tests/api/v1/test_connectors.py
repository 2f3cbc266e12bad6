"""Connectors, options and reworks, written and read back through the API alone."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

P = "projects/tern/"


@pytest.fixture
def link(owner: Caller) -> Caller:
    """Return the owner, with an option and a connector whose pin 2 hangs on it."""
    positions = [{"name": "R88", "meaning": "TIA-232"}, {"name": "R89", "meaning": "3.3 V logic"}]
    option = {"key": "MODE", "name": "J7 mode", "subsystem": "RLD", "positions": positions}
    assert owner.post(f"{P}options/", option).status_code == 201
    owner.post(f"{P}revisions/A/designed-positions/", {"option": "MODE", "position": "R88"})
    connector = {"key": "J7", "name": "link", "subsystem": "RLD", "caution": "legend says 3V3 UART"}
    assert owner.post(f"{P}connectors/", connector).status_code == 201
    # TIA-232: -5 to -15 V at mark.
    for position, level in (("R88", "-15 to -5 V at mark"), ("R89", "3.3 V, idles high")):
        pin = {"number": "2", "name": "TX", "direction": "out", "level": level}
        sent = {"revision": "A", "option": "MODE", "position": position, "pins": [pin]}
        assert owner.put(f"{P}connectors/J7/pins/", sent).status_code == 200
    return owner


def found_at(caller: Caller, position: str) -> None:
    answer = caller.post(f"{P}boards/0001/option-settings/", {"option": "MODE", "position": position})
    assert answer.status_code == 201


def on_j7(caller: Caller, query: str = "") -> dict[str, Any]:
    answer = caller.get(f"{P}boards/0001/connectors/{query}")
    assert answer.status_code == 200, answer.content
    (connector,) = answer.json()["connectors"]
    found: dict[str, Any] = connector
    return found


def test_what_is_on_a_connector_follows_the_options_of_the_board(link: Caller) -> None:
    assert on_j7(link)["pins"][0]["level"] == "-15 to -5 V at mark"
    before = timezone.now().isoformat().replace("+00:00", "Z")
    found_at(link, "R89")
    now = on_j7(link)
    assert (now["pins"][0]["level"], now["pins"][0]["because"]) == ("3.3 V, idles high", "MODE R89")
    assert now["is_as_designed"] is False
    assert on_j7(link, f"?at={before}")["pins"][0]["level"] == "-15 to -5 V at mark"


def test_a_connector_is_described_and_changed(link: Caller) -> None:
    changed = link.patch(f"{P}connectors/J7/", {"pin_1": "square pad", "cable": "crossed"}).json()
    assert (changed["pin_1"], changed["cable"], changed["key"]) == ("square pad", "crossed", "J7")
    assert link.get(f"{P}connectors/").json()["results"] == [changed]
    problem_of(link.patch(f"{P}connectors/J7/", {"key": "J8"}), 400)


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"revision": "Z", "pins": []}, "revision"),
        ({"revision": "A", "option": "MODE", "pins": []}, "position"),
        ({"revision": "A", "option": "MODE", "position": "R90", "pins": []}, "position"),
        ({"revision": "A", "pins": [{"number": "1", "name": "x", "direction": "up"}]}, "pins.0.direction"),
    ],
    ids=["no such revision", "option without position", "no such position", "no such direction"],
)
def test_what_is_wrong_with_a_table_of_pins_is_said(link: Caller, sent: dict[str, Any], field: str) -> None:
    problem = problem_of(link.put(f"{P}connectors/J7/pins/", sent), 400)
    assert problem["problems"][0]["field"] == field


def test_a_moment_without_its_zone_is_refused(link: Caller) -> None:
    problem_of(link.get(f"{P}boards/0001/connectors/?at=2024-01-01T10:00:00"), 400)


def test_an_option_is_decided_or_left_open_and_its_table_says_so(link: Caller) -> None:
    link.post(f"{P}revisions/", {"label": "B", "parent": "A"})
    path = f"{P}options/MODE/decisions/"
    left = {"revision": "A", "decision": "left open", "until": "B", "because": "no buoy yet"}
    assert link.post(path, left).json()["until"] == "B"
    decided = {"revision": "B", "decision": "decided", "position": "R88", "because": "the buoy is bought"}
    assert link.post(path, decided).status_code == 201
    assert [one["decision"] for one in link.get(path).json()["results"]] == ["left open", "decided"]
    (on_a,) = link.get(f"{P}revisions/A/options/").json()["rows"]
    assert (on_a["is_open"], on_a["decision"], on_a["unseen"]) == (True, "left open until B", ["0001"])
    (on_b,) = link.get(f"{P}revisions/B/options/").json()["rows"]
    assert (on_b["is_open"], on_b["decision"]) == (False, "decided: R88")


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"decision": "decided"}, "position"),
        ({"decision": "decided", "position": "R88", "until": "A"}, "until"),
        ({"decision": "left open", "position": "R88"}, "position"),
        ({"decision": "perhaps"}, "decision"),
    ],
    ids=["decided on nothing", "decided until", "open at a position", "no such word"],
)
def test_a_decision_that_does_not_fit_itself_is_refused(
    link: Caller, sent: dict[str, Any], field: str
) -> None:
    answer = link.post(f"{P}options/MODE/decisions/", {"revision": "A", "because": "x"} | sent)
    assert problem_of(answer, 400)["problems"][0]["field"] == field


def test_a_board_is_compared_with_what_was_ordered(link: Caller) -> None:
    sent = {"revision": "A", "position": "R88", "note": "order of 14 April"}
    assert link.post(f"{P}options/MODE/ordered-positions/", sent).status_code == 201
    found_at(link, "R89")
    (row,) = link.get(f"{P}revisions/A/options/").json()["rows"]
    assert (row["designed"], row["ordered"], row["boards"][0]["built"]) == ("R88", "R88", "R89")
    assert row["differences"] == ["0001 built R89, ordered R88"]
    assert link.get(f"{P}options/MODE/ordered-positions/").json()["results"][0]["note"] == sent["note"]


def rework(caller: Caller, **given: Any) -> dict[str, Any]:
    paths = [{"begins_at": "R88", "leads_to": "R89", "wire": "0.2 mm", "length": "4 mm"}]
    sent = {"board": "0001", "key": "RW-01", "kind": "part swap", "intent": "repair", "what": "moved"}
    answer = caller.post(f"{P}reworks/", sent | {"subsystems": ["RLD"], "paths": paths} | given)
    assert answer.status_code == 201, answer.content
    body: dict[str, Any] = answer.json()
    return body


def test_a_rework_has_paths_and_waits_for_its_recheck(link: Caller) -> None:
    done = rework(link)
    path = {"begins_at": "R88", "leads_to": "R89", "wire": "0.2 mm", "length": "4 mm"}
    assert (done["paths"], done["is_recheck_open"]) == ([path], True)
    checked = link.post(f"{P}reworks/{done['id']}/re-checks/", {"note": "no bridge"}).json()
    assert (checked["is_recheck_open"], checked["rechecks"][0]["note"]) == (False, "no bridge")
    problem_of(link.post(f"{P}reworks/{done['id']}/re-checks/", {}), 400)


def test_what_is_said_of_a_rework_may_change_but_not_what_readings_hang_on(link: Caller) -> None:
    number = rework(link)["id"]
    changed = link.patch(f"{P}reworks/{number}/", {"what": "moved with care", "paths": []}).json()
    assert (changed["what"], changed["paths"]) == ("moved with care", [])
    assert link.get(f"{P}reworks/{number}/").json() == changed
    problem = problem_of(link.patch(f"{P}reworks/{number}/", {"intent": "modification"}), 400)
    assert problem["problems"][0]["field"] == "intent"


def test_a_reading_knows_its_board_at_the_minute_it_was_taken(link: Caller, bench: Bench) -> None:
    bench.target()
    early = bench.read("3.3", taken_at=timezone.now() - timedelta(hours=1))
    number = rework(link)["id"]
    found_at(link, "R89")
    late = bench.read("3.31")
    assert link.get(f"measurements/{early.pk}/").json()["configuration"] == {"reworks": [], "options": []}
    then = link.get(f"measurements/{late.pk}/").json()["configuration"]
    assert [(one["id"], one["key"]) for one in then["reworks"]] == [(number, "RW-01")]
    assert [(one["option"], one["position"]) for one in then["options"]] == [("MODE", "R89")]


def test_a_reader_may_look_but_not_write(link: Caller, bench: Bench) -> None:
    reader = caller_for(bench.reader)
    assert on_j7(reader)["connector"] == "J7"
    problem_of(reader.patch(f"{P}connectors/J7/", {"name": "x"}), 403)
    problem_of(reader.put(f"{P}connectors/J7/pins/", {"revision": "A", "pins": []}), 403)
    problem_of(caller_for(bench.stranger).get(f"{P}connectors/"), 404)


@pytest.mark.parametrize(
    ("address", "most"),
    [("reworks/", 14), ("boards/0001/connectors/", 18), ("revisions/A/options/", 16), ("connectors/", 8)],
)
def test_lists_cost_no_query_a_row(
    link: Caller, django_assert_max_num_queries: DjangoAssertNumQueries, address: str, most: int
) -> None:
    for number in range(6):
        done = rework(link, key=f"RW-1{number}")
        link.post(f"{P}reworks/{done['id']}/re-checks/", {"note": "seen"})
        link.post(f"{P}connectors/", {"key": f"J2{number}", "name": "x", "subsystem": "RLD"})
    with django_assert_max_num_queries(most):
        assert link.get(f"{P}{address}").status_code == 200
