"""Recording readings and reading them back."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from logbook.bench.commands import add_instrument, record_calibration
from logbook.bench.models import Measurement
from logbook.projects.commands import set_member
from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench, build_bench

AT = "2026-05-02T10:22:00Z"


def reading(**changed: Any) -> dict[str, Any]:
    """Return a reading as in the contract of the API."""
    return {
        "project": "tern",
        "board": "0001",
        "target": "RLD-2",
        "point": "",
        "value": "3.298",
        "unit": "V",
        "expanded_uncertainty": 0.004,
        "coverage_factor": 2,
        "taken_at": AT,
        "conditions": {"ambient_c": 23},
        "note": "",
        "key": "run-1",
    } | changed


@pytest.fixture(autouse=True)
def _target(bench: Bench) -> None:
    bench.target(limits="3.3 V ± 2 %")


def test_it_answers_a_new_reading_with_its_verdict(script: Caller):
    response = script.post("measurements/", reading())
    assert response.status_code == 201
    body = response.json()
    assert body["verdict"] == "pass"
    # 3.3 V ± 2 %: 3.234 to 3.366; nearest limit 0.064 away; (high - low) / (4 u) with u = 2 mV.
    assert (body["value"], body["margin"], body["unit"]) == (3.298, 0.064, "V")
    assert body["test_uncertainty_ratio"] == pytest.approx(0.132 / 0.008)
    assert body["conformance_probability"] == pytest.approx(1.0)
    assert body["decidable"] is True
    assert body["withdrawn"] is None
    assert body["via"] == "api"


def test_it_tells_the_margin_in_the_unit_of_the_reading(script: Caller):
    body = script.post("measurements/", reading(value=3298, unit="mV", expanded_uncertainty=4)).json()
    assert (body["value"], body["margin"], body["unit"]) == (3298.0, 64.0, "mV")


def test_it_keeps_the_digits_of_a_json_number(script: Caller):
    body = script.post("measurements/", _raw('"value": 3.300, "key": "x"')).json()
    assert body["text"] == "3.300"


def _raw(fields: str) -> bytes:
    return f'{{"project": "tern", "board": "0001", "target": "RLD-2", {fields}}}'.encode()


def test_it_answers_a_repeat_with_the_same_reading(script: Caller):
    first = script.post("measurements/", reading())
    second = script.post("measurements/", reading())
    assert (first.status_code, second.status_code) == (201, 200)
    assert second.json()["id"] == first.json()["id"]
    assert second.json()["status"] == "duplicate"
    assert Measurement.objects.count() == 1


def test_it_refuses_a_key_that_says_something_else(script: Caller):
    script.post("measurements/", reading())
    problem = problem_of(script.post("measurements/", reading(value="3.300")), 409)
    assert "run-1" in problem["detail"]


def test_it_answers_the_repeat_of_a_withdrawn_reading_with_its_withdrawal(script: Caller, bench: Bench):
    number = script.post("measurements/", reading()).json()["id"]
    script.post(f"measurements/{number}/withdraw/", {"because": "wrong board"})
    again = script.post("measurements/", reading())
    assert again.status_code == 200
    withdrawn = again.json()["withdrawn"]
    assert (withdrawn["because"], withdrawn["by"]) == ("wrong board", bench.editor.username)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"value": None}, "value"),
        ({"value": [1]}, "value"),
        ({"board": 1}, "board"),
        ({"board": "0009"}, "board"),
        ({"target": "RLD-9"}, "target"),
        ({"point": "CH1"}, "point"),
        ({"unit": "A"}, "unit"),
        ({"value": "3,298"}, "value"),
        ({"value": "nan"}, "value"),
        ({"taken_at": "2026-05-02T10:22:00"}, "taken_at"),
        ({"taken_at": "0001-01-01T00:00:00+14:00"}, "taken_at"),
        ({"taken_at": "yesterday"}, "taken_at"),
        ({"taken_at": "2999-01-01T00:00:00Z"}, "taken_at"),
        ({"expanded_uncertainty": -1}, "expanded_uncertainty"),
        ({"expanded_uncertainty": True}, "expanded_uncertainty"),
        ({"coverage_factor": 0}, "coverage_factor"),
        ({"bench_session": "12"}, "bench_session"),
        ({"bench_session": 10**30}, "bench_session"),
        ({"bench_session": 999}, "bench_session"),
        ({"instrument": "nothing"}, "instrument"),
        ({"conditions": []}, "conditions"),
        ({"conditions": {"text": "x" * 2_049}}, "conditions"),
        ({"conditions": {"text": "\x00"}}, "conditions"),
        ({"note": "\ud800"}, "note"),
        ({"firmware": "x" * 121}, "firmware"),
        ({"key": "x" * 81}, "key"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_it_names_the_field_it_cannot_take(script: Caller, changed: dict[str, Any], field: str):
    problem = problem_of(script.post("measurements/", reading(**changed)), 400)
    assert [one["field"] for one in problem["problems"]] == [field]


def test_it_names_the_fields_there_are_beside_an_unknown_one(script: Caller):
    problem = problem_of(script.post("measurements/", reading(colour="red")), 400)
    assert "expanded_uncertainty" in problem["problems"][0]["allowed"]
    assert problem["problems"][0]["given"] == "red"


def test_it_says_that_a_moment_needs_its_zone(script: Caller):
    problem = problem_of(script.post("measurements/", reading(taken_at="2026-05-02 10:22")), 400)
    assert "zone" in problem["problems"][0]["message"]


def test_it_names_every_missing_field_at_once(script: Caller):
    problem = problem_of(script.post("measurements/", {}), 400)
    assert [one["field"] for one in problem["problems"]] == ["project", "board", "value"]


def test_it_keeps_characters_beyond_the_basic_plane(script: Caller):
    body = script.post("measurements/", reading(note="𝜏 ok", conditions={"t": "𝜏"})).json()
    assert (body["note"], body["conditions"]) == ("𝜏 ok", {"t": "𝜏"})


def test_it_reads_the_other_kinds_of_results(script: Caller, bench: Bench):
    bench.target("UIF-1", limits="yes", kind="yes/no")
    bench.target("MEM-1", limits="100 of 100", kind="count")
    bench.target("UIF-2", limits="", kind="seen working")
    sent = [
        reading(target="UIF-1", value=True, unit="", expanded_uncertainty=None, key="a"),
        reading(target="MEM-1", value="99 of 100", unit="", expanded_uncertainty=None, key="b"),
        reading(target="UIF-2", value="seen working", unit="", expanded_uncertainty=None, key="c"),
    ]
    answer = script.post("measurements/", sent).json()
    assert [(one["value"], one["trials"], one["verdict"]) for one in answer["results"]] == [
        (True, None, "pass"),
        (99.0, 100, "fail"),
        (None, None, None),
    ]


# Lists


def test_it_records_a_mixed_list_in_order(script: Caller):
    script.post("measurements/", reading(key="old"))
    sent = [
        reading(key="a"),
        reading(key="old"),
        reading(key="b", board="0009"),
        "not an object",
        reading(key="c", value=None),
        reading(key="a"),
        reading(key="a", value="3.3"),
        reading(key="d", project="heron"),
    ]
    response = script.post("measurements/", sent)
    body = response.json()
    assert response.status_code == 200
    assert (body["stored"], body["duplicate"], body["rejected"]) == (1, 2, 5)
    assert [one["index"] for one in body["results"]] == list(range(8))
    statuses = [
        "stored",
        "duplicate",
        "rejected",
        "rejected",
        "rejected",
        "duplicate",
        "rejected",
        "rejected",
    ]
    assert [one["status"] for one in body["results"]] == statuses
    problems = [one["problem"]["status"] for one in body["results"] if one["status"] == "rejected"]
    assert problems == [400, 400, 400, 409, 404]


def test_it_stores_nothing_twice_when_a_list_is_sent_again(script: Caller):
    sent = [reading(key=f"k{place}", value=f"3.30{place}") for place in range(5)]
    first, second = script.post("measurements/", sent).json(), script.post("measurements/", sent).json()
    assert (first["stored"], second["stored"], second["duplicate"]) == (5, 0, 5)
    assert [one["id"] for one in first["results"]] == [one["id"] for one in second["results"]]


def test_it_derives_a_key_from_the_time_and_needs_one_of_both_in_a_list(script: Caller):
    sent = [reading(key=None), reading(key=None, taken_at=None)]
    assert [one["status"] for one in script.post("measurements/", sent).json()["results"]] == [
        "stored",
        "rejected",
    ]
    assert script.post("measurements/", sent).json()["duplicate"] == 1


def test_it_answers_an_empty_list(script: Caller):
    assert script.post("measurements/", []).json() == {
        "stored": 0,
        "duplicate": 0,
        "rejected": 0,
        "results": [],
    }


def test_it_refuses_more_than_ten_thousand(script: Caller):
    problem = problem_of(script.post("measurements/", [{}] * 10_001), 413)
    assert "10000" in problem["detail"]


# Budgets


def test_it_needs_as_many_queries_for_many_readings_as_for_few(
    script: Caller, django_assert_max_num_queries: Any
):
    sent = [reading(key=f"k{place}") for place in range(50)]
    with django_assert_max_num_queries(45):
        script.post("measurements/", sent)
    with django_assert_max_num_queries(20):
        assert script.post("measurements/", sent).json()["duplicate"] == 50


def test_it_lists_in_few_queries(script: Caller, bench: Bench, django_assert_max_num_queries: Any):
    script.post("measurements/", [reading(key=f"k{place}") for place in range(20)])
    with django_assert_max_num_queries(4):
        assert len(script.get("measurements/?project=tern").json()["results"]) == 20


# Reading back


def test_it_pages_by_number(script: Caller):
    script.post("measurements/", [reading(key=f"k{place}") for place in range(5)])
    seen, after = [], 0
    while after is not None:
        page = script.get(f"measurements/?project=tern&limit=2&after={after}").json()
        seen += [one["key"] for one in page["results"]]
        after = page["next_after"]
    assert seen == [f"k{place}" for place in range(5)]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("board=0002", ["b"]),
        ("target=RLD-3", ["c"]),
        ("target=RLD-3&point=CH1", ["c"]),
        ("point=CH1", ["c"]),
        ("verdict=fail", ["d"]),
        ("verdict=none", []),
        ("limit=1", ["a"]),
    ],
)
def test_it_filters(script: Caller, bench: Bench, query: str, expected: list[str]):
    bench.extra_board("0002")
    bench.target("RLD-3", points=("CH1", "CH2"))
    sent = [
        reading(key="a"),
        reading(key="b", board="0002"),
        reading(key="c", target="RLD-3", point="CH1"),
        reading(key="d", value="4"),
    ]
    assert script.post("measurements/", sent).json()["stored"] == 4
    page = script.get(f"measurements/?project=tern&{query}").json()
    assert [one["key"] for one in page["results"]] == expected


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("", "project"),
        ("project=tern&verdict=good", "verdict"),
        ("project=tern&board=9", "board"),
        ("project=tern&target=9", "target"),
        ("project=tern&limit=501", "limit"),
        ("project=tern&limit=0", "limit"),
        ("project=tern&after=x", "after"),
        ("project=tern&after=99999999999999999999", "after"),
        ("project=tern&colour=red", "colour"),
        ("project=tern%00", "project"),
    ],
)
def test_it_refuses_what_it_cannot_filter_by(script: Caller, query: str, field: str):
    problem = problem_of(script.get(f"measurements/?{query}"), 400)
    assert [one["field"] for one in problem["problems"]] == [field]


def test_it_shows_one_reading(script: Caller):
    number = script.post("measurements/", reading()).json()["id"]
    body = script.get(f"measurements/{number}/").json()
    assert (body["key"], body["issue"], body["rule"]) == ("run-1", 1, "guarded")


def test_it_withdraws_once_and_with_a_reason(script: Caller):
    number = script.post("measurements/", reading()).json()["id"]
    problem_of(script.post(f"measurements/{number}/withdraw/", {"because": " "}), 400)
    assert script.post(f"measurements/{number}/withdraw/", {"because": "slip"}).json()["withdrawn"]
    problem_of(script.post(f"measurements/{number}/withdraw/", {"because": "again"}), 409)


# Other projects


def test_it_takes_nothing_of_another_project(script: Caller, bench: Bench):
    other = build_bench("heron")
    other.target("HER-1")
    other.extra_board("0077")
    session = other.project.bench_sessions.create(title="theirs", started_at="2026-05-01T00:00Z")
    for changed in ({"board": "0077"}, {"target": "HER-1"}, {"bench_session": session.pk}):
        problem = problem_of(script.post("measurements/", reading(**changed)), 400)
        assert "HER" not in str(problem["problems"][0]["allowed"])


def test_it_shows_and_withdraws_nothing_of_another_project(script: Caller):
    other = build_bench("heron")
    other.target("HER-1")
    number = other.read("3.3 V", "HER-1").pk
    problem_of(script.get(f"measurements/{number}/"), 404)
    problem_of(script.get("measurements/?project=heron"), 404)
    problem_of(script.post(f"measurements/{number}/withdraw/", {"because": "mine"}), 404)
    assert Measurement.objects.get(pk=number).withdrawn_at is None


def test_it_lets_a_reader_look_but_not_record(bench: Bench):
    reader = caller_for(bench.reader)
    bench.read("3.3 V")
    number = reader.get("measurements/?project=tern").json()["results"][0]["id"]
    problem_of(reader.post("measurements/", reading()), 403)
    problem_of(reader.post(f"measurements/{number}/withdraw/", {"because": "x"}), 403)


def test_it_follows_a_role_that_changes(script: Caller, bench: Bench):
    set_member(actor=bench.actor, project=bench.project, user=bench.editor, role="reader")
    problem_of(script.post("measurements/", reading()), 403)


def test_it_says_when_a_reading_was_taken_out_of_calibration(bench: Bench, script: Caller) -> None:
    meter = add_instrument(actor=bench.actor, name="M-1", kind="meter")
    due = date(2026, 4, 30)
    record_calibration(
        actor=bench.actor,
        instrument=meter,
        number="K1",
        on=date(2025, 4, 30),
        result="in limits",
        next_due=due,
    )
    before = {"taken_at": "2026-04-30T10:00:00Z", "key": "before"}
    for changed, expected in (({}, {"state": "overdue", "due": str(due)}), (before, None)):
        number = script.post("measurements/", reading(instrument="M-1", **changed)).json()["id"]
        told = script.get(f"measurements/{number}/").json()["out_of_calibration"]
        if expected is None:
            assert told is None
        else:
            assert expected.items() <= told.items()
            assert told["says"] == "M-1 out of calibration since 2026-04-30"
