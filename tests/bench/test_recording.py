"""The one door of readings: single, list, repeats, conflicts, permissions and slices."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import pytest

from logbook.bench.commands import (
    ReadingInput,
    Recorded,
    issue_target,
    open_bench_session,
    record_reading,
    record_readings,
    recording,
)
from logbook.bench.commands.targets import Asked
from logbook.bench.models import CurrentResult, Measurement
from logbook.bench.queries.verification import discrepancies_of
from logbook.common import clock
from logbook.common.changes import Actor
from logbook.common.errors import (
    ConflictError,
    DomainError,
    InvalidInputError,
    NotAllowedError,
    NotFoundError,
)
from logbook.projects.models import Project
from tests.builders import Bench, build_bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)


def item(value: Any = "3.3", **given: Any) -> ReadingInput:
    return ReadingInput(**({"project": "tern", "board": "0001", "target": "RLD-2", "value": value} | given))


def record(bench: Bench, *items: ReadingInput) -> list[Recorded]:
    return record_readings(actor=bench.actor, items=items)


def statuses(results: list[Recorded]) -> list[str]:
    return [result.status for result in results]


def problem_of(error: DomainError | None) -> str:
    assert error is not None
    return error.problems[0].field if error.problems else error.code


def test_it_stores_one_reading_with_its_verdict(bench: Bench) -> None:
    bench.target()
    stored = bench.read("3.298", expanded_uncertainty="4 mV")
    stored.refresh_from_db()
    assert (stored.text, stored.unit, stored.verdict, stored.margin) == ("3.298", "V", "pass", "0.064")
    assert (stored.recorded_by, stored.via) == (bench.owner, "command")


def test_it_keeps_the_order_of_the_list(bench: Bench) -> None:
    bench.target()
    results = record(bench, *[item(f"3.3{n}", key=f"k{n}") for n in range(10)])
    assert [result.index for result in results] == list(range(10))
    assert [result.measurement.text for result in results if result.measurement] == [
        f"3.3{n}" for n in range(10)
    ]


def test_a_bad_item_costs_only_itself(bench: Bench) -> None:
    bench.target()
    results = record(bench, item(key="a"), item("rubbish", key="b"), item(key="c"))
    assert statuses(results) == ["stored", "rejected", "stored"]
    assert problem_of(results[1].error) == "value"


HOSTILE: dict[str, dict[str, Any]] = {
    "unknown board": {"board": "9999"},
    "unknown target": {"target": "NO-1"},
    "unknown project": {"project": "heron"},
    "no project": {"project": ""},
    "unknown instrument": {"instrument": "M-9"},
    "range without instrument": {"instrument_range": "10 V"},
    "unknown session": {"bench_session": 4_000_000},
    "negative session": {"bench_session": -1},
    "session beyond 64 bits": {"bench_session": 10**30},
    "NUL in note": {"note": "a\x00"},
    "NUL in key": {"key": "\x00"},
    "NUL in target": {"target": "\x00"},
    "half a character in note": {"note": "a\ud800"},
    "half a character in key": {"key": "\ud800"},
    "half a character in board": {"board": "\ud800"},
    "half a character in project": {"project": "\udfff"},
    "key that is no text": {"key": 5},
    "key too long": {"key": "x" * 81},
    "place too long": {"place": "x" * 201},
    "firmware too long": {"firmware": "x" * 121},
    "note too long": {"note": "x" * 20_001},
    "condition that is no number": {"conditions": {"ambient_c": float("nan")}},
    "condition that is an object": {"conditions": {"ambient_c": object()}},
    "condition with NUL": {"conditions": {"where": "\x00"}},
    "condition with half a character": {"conditions": {"where": "\ud800"}},
    "conditions of mixed names": {"conditions": {"a": 1, 2: 3}},
    "conditions too long": {"conditions": {"where": "x" * 3000}},
    "too many digits of U": {"expanded_uncertainty": "1.2345678901234567890123456789e-40"},
    "too many digits of k": {
        "expanded_uncertainty": "1 mV",
        "coverage_factor": "2.0000000000000000000000001",
    },
    "time without zone": {"taken_at": datetime(2024, 1, 1)},  # noqa: DTZ001
    "time before all time": {"taken_at": datetime(1, 1, 1, tzinfo=timezone(timedelta(hours=14)))},
    "time after all time": {"taken_at": datetime.max.replace(tzinfo=timezone(timedelta(hours=-5)))},
    "time of a clock never set": {"taken_at": datetime(1, 1, 1, tzinfo=UTC)},
    "unknown point": {"point": "CH9"},
}


@pytest.mark.parametrize("given", HOSTILE.values(), ids=HOSTILE)
def test_it_rejects_what_cannot_be_stored_and_keeps_the_rest(bench: Bench, given: dict[str, Any]) -> None:
    bench.target()
    good = item(key="good")
    results = record(bench, good, item(**({"key": "bad"} | given)), item(key="good too"))
    assert statuses(results) == ["stored", "rejected", "stored"]
    assert Measurement.objects.count() == 2
    assert list(discrepancies_of(bench.project)) == []


def test_it_keeps_conditions_given_as_decimals(bench: Bench) -> None:
    bench.target()
    stored = bench.read("3.3", conditions={"ambient_c": Decimal("23.5"), "fan": True, "where": "oven"})
    stored.refresh_from_db()
    assert stored.conditions == {"ambient_c": 23.5, "fan": True, "where": "oven"}


def test_a_repeat_in_the_same_list_is_stored_once(bench: Bench) -> None:
    bench.target()
    results = record(bench, item(key="k"), item(key="k"), item(key="k"))
    assert statuses(results) == ["stored", "duplicate", "duplicate"]
    assert len({result.measurement.pk for result in results if result.measurement}) == 1


def test_sending_a_list_again_stores_nothing(bench: Bench) -> None:
    bench.target()
    items = [item(f"3.3{n}", taken_at=NOON + timedelta(minutes=n)) for n in range(5)]
    first, again = record(bench, *items), record(bench, *items)
    assert statuses(again) == ["duplicate"] * 5
    assert [one.measurement for one in first] == [one.measurement for one in again]
    assert Measurement.objects.count() == 5


@pytest.mark.parametrize(
    "other",
    [
        {"value": "3.31"},
        {"value": "3.30"},
        {"note": "second thoughts"},
        {"unit": "mV", "value": "3300"},
        {"taken_at": NOON + timedelta(seconds=1)},
        {"conditions": {"ambient_c": 40}},
        {"expanded_uncertainty": "1 mV"},
    ],
    ids=str,
)
def test_the_same_key_with_other_content_is_a_conflict(bench: Bench, other: dict[str, Any]) -> None:
    bench.target()
    record(bench, item(key="k", taken_at=NOON))
    result = record(bench, item(**({"key": "k", "taken_at": NOON} | other)))[0]
    assert isinstance(result.error, ConflictError)
    assert Measurement.objects.get().text == "3.3"


def test_a_single_conflict_raises(bench: Bench) -> None:
    bench.target()
    bench.read("3.3", key="k")
    with pytest.raises(ConflictError, match="already used"):
        bench.read("3.4", key="k")


@pytest.mark.parametrize(
    ("value", "target", "text"),
    [
        ("3298 mV", "RLD-2", "3298 mV"),
        ("3.30", "RLD-2", "3.30 V"),
        ("0 of 1e7", "C", "0 of 1e7"),
        ("yes", "Y", "yes"),
    ],
)
def test_a_reading_is_written_with_its_unit_once(bench: Bench, value: str, target: str, text: str) -> None:
    bench.target()
    bench.target("C", "0 errors", kind="count")
    bench.target("Y", "yes", kind="yes/no")
    assert str(bench.read(value, target)) == text


def test_a_repeat_is_answered_though_its_point_is_asked_no_more(bench: Bench) -> None:
    target = bench.target(points=("CH1", "CH2"))
    [first] = record(bench, item(key="k", point="CH2"))
    issue_target(
        actor=bench.actor, target=target, asked=Asked(limits="3.234..3.366 V"), reason="one point is enough"
    )
    again, other = record(bench, item(key="k", point="CH2"), item("3.31", key="k", point="CH2"))
    assert (again.status, again.measurement) == ("duplicate", first.measurement)
    assert (other.status, type(other.error)) == ("rejected", InvalidInputError)


def test_one_time_in_two_zones_is_the_same_reading(bench: Bench) -> None:
    bench.target()
    tokyo = NOON.astimezone(timezone(timedelta(hours=9)))
    assert statuses(record(bench, item(taken_at=NOON), item(taken_at=tokyo))) == ["stored", "duplicate"]


def test_keys_of_two_projects_do_not_meet(bench: Bench) -> None:
    bench.target()
    other = build_bench("heron")
    other.target()
    bench.read("3.3", key="k")
    assert record_reading(actor=other.actor, item=item("3.1", project="heron", key="k")).status == "stored"


def test_a_list_item_without_key_and_time_is_refused(bench: Bench) -> None:
    bench.target()
    result = record(bench, item())[0]
    assert (result.status, problem_of(result.error)) == ("rejected", "key")


def test_a_single_reading_without_key_and_time_is_always_new(bench: Bench) -> None:
    bench.target()
    assert bench.read("3.3") != bench.read("3.3")


def test_absent_time_is_the_time_of_the_server(bench: Bench) -> None:
    bench.target()
    with clock.standing_at(NOON):
        assert bench.read("3.3").taken_at == NOON


@pytest.mark.parametrize(("seconds", "status"), [(300, "stored"), (301, "rejected")])
def test_it_refuses_more_than_five_minutes_ahead(bench: Bench, seconds: int, status: str) -> None:
    bench.target()
    with clock.standing_at(NOON):
        result = record(bench, item(taken_at=NOON + timedelta(seconds=seconds)))[0]
    assert result.status == status


@pytest.mark.parametrize(("point", "status"), [("CH1", "stored"), ("", "rejected"), ("ch1", "rejected")])
def test_points_must_match(bench: Bench, point: str, status: str) -> None:
    bench.target(points=("CH1", "CH2"))
    assert record(bench, item(point=point, key="k"))[0].status == status


def test_a_loose_reading_needs_a_place_or_a_note(bench: Bench) -> None:
    with pytest.raises(InvalidInputError, match="place or a note"):
        bench.read("3.3 V", "")
    assert bench.read("3.3 V", "", place="TP4").verdict == ""
    assert not CurrentResult.objects.exists()


def test_a_loose_reading_has_no_point(bench: Bench) -> None:
    with pytest.raises(InvalidInputError, match="point"):
        bench.read("3.3 V", "", place="TP4", point="CH1")


def test_it_inherits_firmware_and_ambient_from_its_session(bench: Bench) -> None:
    bench.target()
    session = open_bench_session(
        actor=bench.actor, project=bench.project, title="t", values={"firmware": "v2", "ambient_c": 21.5}
    )
    stored = bench.read("3.3", bench_session=session.pk)
    assert (stored.firmware, stored.conditions) == ("v2", {"ambient_c": 21.5})


def test_its_own_firmware_and_ambient_win_over_the_session(bench: Bench) -> None:
    bench.target()
    session = open_bench_session(
        actor=bench.actor, project=bench.project, title="t", values={"firmware": "v2", "ambient_c": 21.5}
    )
    stored = bench.read("3.3", bench_session=session.pk, firmware="v3", conditions={"ambient_c": 40})
    assert (stored.firmware, stored.conditions) == ("v3", {"ambient_c": 40})


def test_a_session_of_another_project_is_not_there(bench: Bench) -> None:
    bench.target()
    other = build_bench("heron")
    session = open_bench_session(actor=other.actor, project=other.project, title="secret sitting")
    with pytest.raises(InvalidInputError, match="no bench session") as caught:
        bench.read("3.3", bench_session=session.pk)
    assert "secret" not in str(caught.value)


@pytest.mark.parametrize(
    ("who", "error"), [("reader", NotAllowedError), ("stranger", NotFoundError)], ids=["reader", "stranger"]
)
def test_the_door_itself_checks_who_may_record(bench: Bench, who: str, error: type[DomainError]) -> None:
    bench.target()
    result = record_readings(actor=Actor(getattr(bench, who), "api"), items=[item(key="k")])[0]
    assert isinstance(result.error, error)
    assert not Measurement.objects.exists()


def test_an_editor_may_record(bench: Bench) -> None:
    bench.target()
    assert record_reading(actor=Actor(bench.editor, "api"), item=item()).status == "stored"


def test_nobody_may_not_record(bench: Bench) -> None:
    bench.target()
    with pytest.raises(NotAllowedError):
        record_readings(actor=Actor(None, "api"), items=[item(key="k")])


def test_an_empty_list_is_nothing(bench: Bench) -> None:
    assert record(bench) == []


def test_a_long_list_is_stored_in_slices(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    bench.target()
    monkeypatch.setattr(recording, "SLICE", 3)
    items = [item(key=f"k{n}") for n in range(7)] + [item(key="k0")]
    results = record(bench, *items)
    assert statuses(results) == ["stored"] * 7 + ["duplicate"]
    assert [result.index for result in results] == list(range(8))


def test_a_failure_in_a_later_slice_keeps_the_earlier_ones(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench.target()
    items = [item(key=f"k{n}") for n in range(6)]
    monkeypatch.setattr(recording, "SLICE", 3)
    whole = recording.count_in

    def full_at_the_second(project: Project, added: list[Measurement], *judged_by: Any) -> None:
        if any(one.key == "k5" for one in added):
            raise OSError("disk full")
        whole(project, added, *judged_by)

    monkeypatch.setattr(recording, "count_in", full_at_the_second)
    with pytest.raises(OSError, match="disk full"):
        record(bench, *items)
    monkeypatch.setattr(recording, "count_in", whole)
    assert Measurement.objects.count() == 3
    assert statuses(record(bench, *items)) == ["duplicate"] * 3 + ["stored"] * 3


def test_the_cost_of_a_list_does_not_grow_with_it(bench: Bench, django_assert_max_num_queries: Any) -> None:
    bench.target()
    record(bench, *[item(key=f"warm{n}") for n in range(3)])
    with django_assert_max_num_queries(16):
        record(bench, *[item(key=f"k{n}", taken_at=NOON + timedelta(minutes=n)) for n in range(200)])


@pytest.mark.parametrize("wrong", [{"board": "x"}, {"target": "x"}, {"instrument": "x"}], ids=str)
def test_many_wrong_names_cost_one_look(
    bench: Bench, wrong: dict[str, Any], django_assert_max_num_queries: Any
) -> None:
    bench.target()
    with django_assert_max_num_queries(20):
        results = record(bench, *[item(**({"key": f"k{n}"} | wrong)) for n in range(100)])
    assert statuses(results) == ["rejected"] * 100
