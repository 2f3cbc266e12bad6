"""Projects and what hangs below them: written and read back through the API alone."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench, build_bench


def results(caller: Caller, address: str) -> list[Any]:
    found: list[Any] = caller.get(address).json()["results"]
    return found


def test_it_creates_a_project_for_whoever_asks(bench: Bench):
    caller = caller_for(bench.stranger)
    body = {"slug": "plover", "name": "Plover", "characteristics": ["external-dram"]}
    response = caller.post("projects/", body)
    assert response.status_code == 201
    assert response.json()["role"] == "owner"
    assert response.json()["characteristics"] == ["external-dram"]
    assert [one["slug"] for one in results(caller, "projects/")] == ["plover"]


def test_a_project_without_a_short_name_gets_it_from_its_name(bench: Bench):
    response = caller_for(bench.stranger).post("projects/", {"name": "Ringed Plover 2"})
    assert (response.status_code, response.json()["slug"]) == (201, "ringed-plover-2")


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"name": "Tern"}, "slug"),
        ({"name": "…"}, "slug"),
        ({"slug": "tern", "name": "Taken"}, "slug"),
        ({"slug": "Not A Slug", "name": "x"}, "slug"),
        ({"slug": "x"}, "name"),
        ({"slug": "x", "name": "x", "part_of": "heron"}, "part_of"),
        ({"slug": "x", "name": "x", "hours_s1": 1}, "hours_s1"),
    ],
)
def test_it_names_what_is_wrong_with_a_project(owner: Caller, body: dict[str, Any], field: str):
    problem = problem_of(owner.post("projects/", body), 400)
    assert [one["field"] for one in problem["problems"]] == [field]


def test_it_names_kin_only_to_who_may_see_it(owner: Caller, bench: Bench):
    owner.post("projects/", {"slug": "plover", "name": "Plover"})
    owner.patch("projects/tern/", {"part_of": "plover", "hours_s1": 100})
    body = owner.get("projects/tern/").json()
    assert (body["part_of"], body["hours_s1"]) == ("plover", 100)
    assert caller_for(bench.reader).get("projects/tern/").json()["part_of"] is None


@pytest.mark.parametrize(
    ("address", "body", "field"),
    [
        ("projects/tern/", {"slug": "new"}, "slug"),
        ("projects/tern/", {"state": "shelved"}, "state"),
        ("projects/tern/subsystems/RLD/", {"key": "NEW"}, "key"),
        ("projects/tern/revisions/A/", {"label": "Z"}, "label"),
        ("projects/tern/revisions/A/", {"parent": "Z"}, "parent"),
        ("projects/tern/boards/0001/", {"revision": "B"}, "revision"),
        ("projects/tern/targets/RLD-2/", {"limits": "4 V ± 1 %"}, "limits"),
        ("projects/tern/targets/RLD-2/", {"key": "RLD-3"}, "key"),
    ],
)
def test_it_changes_descriptive_fields_only(
    owner: Caller, bench: Bench, address: str, body: dict[str, Any], field: str
):
    bench.target()
    problem = problem_of(owner.patch(address, body), 400)
    assert [(one["field"], one["code"]) for one in problem["problems"]] == [(field, "unknown")]


@pytest.mark.parametrize(
    ("address", "body"),
    [
        ("projects/tern/", {"purpose": "to know", "name": "Tern two"}),
        ("projects/tern/subsystems/RLD/", {"purpose": "3.3 V and 1.2 V", "position": 3}),
        ("projects/tern/revisions/A/", {"idle_current": "40 mA", "drawn_on": "2026-01-02"}),
        ("projects/tern/boards/0001/", {"location": "shelf 2", "state": "lent"}),
        ("projects/tern/targets/RLD-2/", {"minutes": 9, "severity": "S1", "harm": "", "needs_option": None}),
    ],
)
def test_it_answers_a_change_with_what_is_stored(
    owner: Caller, bench: Bench, address: str, body: dict[str, Any]
):
    bench.target()
    assert owner.patch(address, body).status_code == 200
    shown = owner.get(address).json()
    assert {name: shown[name] for name in body} == body


def test_it_keeps_subsystems_free_of_circles(owner: Caller):
    clocks = {"key": "CLK", "name": "clocks", "kind": "clocks", "depends_on": ["RLD"]}
    assert owner.post("projects/tern/subsystems/", clocks).json()["depends_on"] == ["RLD"]
    problem = problem_of(owner.patch("projects/tern/subsystems/RLD/", {"depends_on": ["CLK"]}), 400)
    assert problem["problems"][0]["code"] == "circle"


def test_it_pages_every_list_by_its_key(owner: Caller, bench: Bench):
    for serial in ("0004", "0002", "0003"):
        bench.extra_board(serial)
    first = owner.get("projects/tern/boards/?limit=3").json()
    assert [one["serial"] for one in first["results"]] == ["0001", "0002", "0003"]
    second = owner.get(f"projects/tern/boards/?limit=3&after={first['next_after']}").json()
    assert [one["serial"] for one in second["results"]] == ["0004"]
    assert second["next_after"] is None


def test_it_keeps_what_happened_to_a_board(owner: Caller):
    owner.post("projects/tern/boards/0001/events/", {"state": "lent", "location": "lab 2"})
    events = results(owner, "projects/tern/boards/0001/events/")
    assert [(one["state"], one["location"]) for one in events] == [("in use", ""), ("lent", "lab 2")]
    assert owner.get("projects/tern/boards/0001/").json()["location"] == "lab 2"


def test_it_adds_a_target_with_everything_it_asks(owner: Caller, bench: Bench):
    bench.target("RLD-1")
    body = {
        "key": "RLD-5",
        "name": "3.3 V rail",
        "subsystem": "RLD",
        "limits": {"low": "3.234 V", "high": 3.366},
        "nominal": "3.3 V",
        "points": ["9 V", "16 V"],
        "boards_needed": 2,
        "prerequisites": ["RLD-1"],
        "severity": "S1",
        "stresses_board": True,
    }
    response = owner.post("projects/tern/targets/", body)
    assert response.status_code == 201, response.content
    shown = response.json()
    issue = shown["issue"]
    assert (issue["low"], issue["high"], issue["nominal"], issue["unit"]) == (3.234, 3.366, 3.3, "V")
    assert (issue["points"], issue["boards_needed"]) == (["9 V", "16 V"], 2)
    assert (shown["prerequisites"], shown["severity"], shown["stresses_board"]) == (["RLD-1"], "S1", True)


def test_it_shows_the_issue_in_force_and_keeps_the_others(owner: Caller, bench: Bench):
    bench.target(limits="3.3 V ± 2 %")
    owner.post("projects/tern/revisions/", {"label": "B", "parent": "A"})
    new = {"limits": "3.3 V ± 1 %", "reason": "the converter needs it", "meant_for": "B"}
    assert owner.post("projects/tern/targets/RLD-2/issues/", new).json()["number"] == 2
    shown = owner.get("projects/tern/targets/RLD-2/").json()
    assert (shown["issue"]["number"], len(shown["issues"])) == (2, 2)
    assert owner.get("projects/tern/targets/RLD-2/?revision=A").json()["issue"]["number"] == 1
    assert results(owner, "projects/tern/targets/RLD-2/issues/")[1]["meant_for"] == "B"


def test_it_takes_over_what_a_new_issue_leaves_out(owner: Caller, bench: Bench):
    bench.target(points=("CH1", "CH2"), method="with the meter")
    issue = owner.post(
        "projects/tern/targets/RLD-2/issues/", {"limits": "3.3 V ± 1 %", "reason": "tighter"}
    ).json()
    assert (issue["points"], issue["method"], issue["changes_more_than_limits"]) == (
        ["CH1", "CH2"],
        "with the meter",
        False,
    )


def test_it_issues_nothing_without_a_reason(owner: Caller, bench: Bench):
    bench.target()
    problem = problem_of(owner.post("projects/tern/targets/RLD-2/issues/", {"limits": "3 V ± 1 %"}), 400)
    assert problem["problems"][0]["field"] == "reason"


def test_it_keeps_bench_sessions(script: Caller, bench: Bench):
    body = {"title": "first power", "boards": ["0001"], "ambient_c": 23.5, "firmware": "0.3"}
    number = script.post("projects/tern/bench-sessions/", body).json()["id"]
    end = {"ended_at": "2199-05-02T10:22:00Z", "next_step": "probe the clock"}
    shown = script.patch(f"projects/tern/bench-sessions/{number}/", end).json()
    assert shown["people"] == [bench.editor.username]
    assert (shown["boards"], shown["ambient_c"], shown["next_step"]) == (["0001"], 23.5, "probe the clock")
    problem = problem_of(script.patch(f"projects/tern/bench-sessions/{number}/", {"ambient_c": "warm"}), 400)
    assert problem["problems"][0]["field"] == "ambient_c"


@pytest.mark.parametrize("moment", ["0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z"])
def test_it_refuses_a_moment_of_a_clock_never_set(script: Caller, bench: Bench, moment: str):
    problem = problem_of(
        script.post("projects/tern/bench-sessions/", {"title": "t", "started_at": moment}), 400
    )
    assert problem["problems"][0]["field"] == "started_at"
    assert "from 1900-01-01 to 2200-01-01" in problem["problems"][0]["message"]
    assert not bench.project.bench_sessions.exists()


def test_it_makes_a_rework_count_and_undoes_it(owner: Caller, bench: Bench):
    bench.target()
    body = {
        "board": "0001",
        "key": "RW-1",
        "kind": "part swap",
        "intent": "modification",
        "what": "R12 to 10k",
        "subsystems": ["RLD"],
        "in_force_from": "2026-01-01T00:00:00Z",
    }
    rework = owner.post("projects/tern/reworks/", body).json()
    bench.read("3.3 V")
    row = owner.get("projects/tern/revisions/A/coverage/").json()["rows"][0]
    assert (row["state"], "modified" in row["reason"] or "RW-1" in row["reason"]) == ("stale", True)
    undone = owner.post(f"projects/tern/reworks/{rework['id']}/undo/", {"note": "put back"})
    assert undone.json()["in_force_until"] is not None
    problem_of(owner.post(f"projects/tern/reworks/{rework['id']}/undo/", {}), 409)
    assert results(owner, "projects/tern/reworks/?board=0001")[0]["subsystems"] == ["RLD"]


def test_it_keeps_options_where_they_are_by_design_and_as_found(owner: Caller):
    option = {
        "key": "JP1",
        "name": "boot strap",
        "subsystem": "RLD",
        "positions": [{"name": "1-2", "meaning": "run"}, {"name": "2-3"}],
    }
    assert owner.post("projects/tern/options/", option).status_code == 201
    place = "projects/tern/revisions/A/designed-positions/"
    owner.post(place, {"option": "JP1", "position": "1-2"})
    assert owner.put(place, {"option": "JP1", "position": None}).json()["position"] is None
    found = owner.post("projects/tern/boards/0001/option-settings/", {"option": "JP1", "position": "2-3"})
    assert (found.status_code, found.json()["position"]) == (201, "2-3")
    problem = problem_of(owner.post(place, {"option": "JP1", "position": "9-9"}), 400)
    assert problem["problems"][0]["allowed"] == "1-2, 2-3"
    assert owner.patch("projects/tern/options/JP1/", {"note": "lift it"}).json()["note"] == "lift it"


def test_it_keeps_instruments_and_calibrations(owner: Caller):
    body = {
        "name": "bench-dmm",
        "kind": "multimeter",
        "ranges": [
            {
                "name": "10 V",
                "unit": "V",
                "full_scale": 10,
                "percent_of_reading": "0.05",
                "counts": 3,
                "resolution": "1 mV",
            }
        ],
    }
    shown = owner.post("instruments/", body).json()
    assert (shown["ranges"][0]["resolution"], shown["ranges"][0]["full_scale"]) == (0.001, 10.0)
    calibration = {"number": "C-1", "on": "2026-01-02", "result": "in limits", "next_due": "2027-01-02"}
    assert owner.post("instruments/bench-dmm/calibrations/", calibration).status_code == 201
    changed = owner.patch("instruments/bench-dmm/", {"note": "shelf 3", "ranges": []}).json()
    assert (changed["note"], changed["ranges"], len(changed["calibrations"])) == ("shelf 3", [], 1)
    bad = {"name": "x", "kind": "x", "ranges": [{"name": "1", "unit": "furlong", "full_scale": 1}]}
    assert "furlong" in problem_of(owner.post("instruments/", bad), 400)["detail"]
    assert len(results(owner, "instruments/")) == 1


def test_it_gives_members_roles_and_keeps_an_owner(owner: Caller, bench: Bench):
    member = {"user": bench.stranger.username, "role": "reader"}
    assert owner.post("projects/tern/members/", member).json() == member
    assert member in results(owner, "projects/tern/members/")
    problem_of(owner.post("projects/tern/members/", {"user": bench.owner.username, "role": "reader"}), 409)
    problem_of(owner.post("projects/tern/members/", {"user": "nobody", "role": "reader"}), 400)


@pytest.mark.parametrize(
    ("address", "body", "field"),
    [
        ("boards/", {"serial": "9", "revision": "H"}, "revision"),
        ("targets/", {"key": "T", "name": "t", "subsystem": "HER", "limits": "1 V ± 1 %"}, "subsystem"),
        (
            "targets/",
            {"key": "T", "name": "t", "subsystem": "RLD", "limits": "1 V ± 1 %", "prerequisites": ["HER-1"]},
            "prerequisites",
        ),
        ("bench-sessions/", {"title": "t", "boards": ["0077"]}, "boards"),
        ("bench-sessions/", {"title": "t", "people": ["owner-heron"]}, "people"),
        ("revisions/", {"label": "B", "parent": "H"}, "parent"),
    ],
)
def test_it_takes_nothing_of_another_project(
    owner: Caller, bench: Bench, address: str, body: dict[str, Any], field: str
):
    other = build_bench("heron")
    other.target("HER-1")
    other.extra_board("0077")
    stranger = caller_for(other.owner)
    stranger.post("projects/heron/revisions/", {"label": "H"})
    stranger.post("projects/heron/subsystems/", {"key": "HER", "name": "h", "kind": "power"})
    problem = problem_of(owner.post(f"projects/tern/{address}", body), 400)
    assert [one["field"] for one in problem["problems"]] == [field]
    assert not bench.project.targets.exists()


@pytest.mark.parametrize(
    ("address", "budget"),
    [
        ("projects/", 5),
        ("projects/tern/subsystems/", 5),
        ("projects/tern/revisions/", 4),
        ("projects/tern/boards/", 4),
        ("projects/tern/targets/", 10),
        ("projects/tern/bench-sessions/", 6),
        ("projects/tern/reworks/", 4),
        ("projects/tern/options/", 7),
        ("instruments/", 5),
    ],
)
def test_it_lists_in_a_fixed_number_of_queries(
    owner: Caller, bench: Bench, address: str, budget: int, django_assert_max_num_queries: Any
):
    owner.get("projects/")
    for place in range(6):
        bench.target(f"RLD-{place}", needs=[f"RLD-{place - 1}"] if place else [])
        bench.extra_board(f"1{place}")
        owner.post("projects/tern/bench-sessions/", {"title": "t", "boards": ["0001"]})
        owner.post("projects/", {"slug": f"p{place}", "name": "p", "part_of": "tern"})
        owner.post("instruments/", {"name": f"m{place}", "kind": "meter"})
    with django_assert_max_num_queries(budget):
        assert owner.get(address).status_code == 200
