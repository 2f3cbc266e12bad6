"""One reading a request, lists, and lists cut into slices of any size store and answer the same."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from logbook.bench.commands import (
    add_instrument,
    open_bench_session,
    record_calibration,
    recording,
    set_ranges,
)
from logbook.bench.models import CurrentResult, FailingSpan, Measurement, Trial
from logbook.bench.queries.verification import discrepancies_of
from logbook.common import clock
from tests.api.callers import Caller
from tests.builders import Bench

NOW = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
TABLES = (Trial, FailingSpan, CurrentResult, Measurement)
ODD_VALUES = ["rubbish", "seen working", "not working", "inconclusive", "", "3,3", "1.795e+01", "1e99", None]


@pytest.fixture
def furnished(bench: Bench) -> Bench:
    """Return a bench with targets of every kind, a meter, and a sitting that has started."""
    bench.target("N1", "3.234..3.366 V")
    bench.target("N2", "<= 30 mV", needs=["N1"], points=("CH1", "CH2"))
    bench.target("N3", "-98 dBV to -80 dBV")
    bench.target("Y1", "yes", kind="yes/no", needs=["N2"])
    bench.target("C1", "98 of 100", kind="count")
    bench.extra_board("0002")
    meter = add_instrument(actor=bench.actor, name="M-1", kind="meter")
    ranges = [{"name": "10 V", "unit": "V", "full_scale": "10", "percent_of_reading": "0.05", "counts": "3",
               "resolution": "1 mV"}]  # fmt: skip
    set_ranges(actor=bench.actor, instrument=meter, ranges=ranges)
    record_calibration(
        actor=bench.actor, instrument=meter, number="K1", on=date(2025, 1, 1), result="in limits",
        next_due=date(2026, 2, 27),
    )  # fmt: skip
    return bench


def reading(rng: random.Random, number: int, session: int) -> dict[str, Any]:
    """Return a reading as a script may send it, good or bad."""
    target = rng.choice(["N1", "N1", "N2", "N3", "Y1", "C1", ""])
    values: dict[str, list[Any]] = {
        "N1": [f"{rng.gauss(3.3, 0.05):.4f}", round(rng.gauss(3.3, 0.05), 3), "3312 mV", "3.366"],
        "N2": [f"{rng.gauss(25, 9):.2f}", 12, "0.0295 V", "1.795e+01"],
        "N3": ["-90.1", -82.25, "-99 dBV"],
        "Y1": ["yes", "no", True, False],
        "C1": ["99 of 100", "97 of 100", "50 of 50", "100"],
        "": ["3.3 V", "12 mV"],
    }
    sent: dict[str, Any] = {
        "project": "tern",
        "board": rng.choice(["0001", "0002"]),
        "value": rng.choice([*values[target] * 4, rng.choice(ODD_VALUES)]),
        "taken_at": (NOW - timedelta(minutes=rng.randrange(5000))).isoformat(),
    }
    sent |= {"target": target} if target else rng.choice([{"place": "TP1"}, {"note": 'né "q"\\'}, {}])
    sent |= {"unit": {"N1": "V", "N2": "mV", "N3": "dBV"}[target]} if target[:1] == "N" else {}
    sent |= {"point": rng.choice(["CH1", "CH2", "CH9"])} if target == "N2" else {}
    for name, choices, chance in (
        ("key", [f"k{number}", f"k{rng.randrange(number + 1)}"], 0.8),
        ("expanded_uncertainty", ["0.004", 0.002, 0, "1 %", "30 mV", -1], 0.5),
        ("coverage_factor", [2, "1.96", None], 0.2),
        ("instrument", ["M-1", "M-1", "M-9"], 0.25),
        ("bench_session", [session, session, 4_000_000], 0.15),
        ("conditions", [{"ambient_c": 25, "b": {"z": 1, "a": [1, 2.5]}}, {}], 0.1),
        ("firmware", ["1.2", 5], 0.1),
        ("colour", ["red"], 0.03),
    ):
        if rng.random() < chance:
            sent[name] = rng.choice(choices)
    if target in ("N1", "N2") and rng.random() < 0.15:
        sent["repeats"] = [f"{rng.gauss(3.3, 0.01):.5f}" for _ in range(3)]
        del sent["value"]
    return sent


def stored() -> list[list[Any]]:
    """Return all rows of all tables, without ids."""
    of_reading = [field.attname for field in Measurement._meta.concrete_fields if not field.primary_key]
    return [
        list(Measurement.objects.order_by("id").values_list(*of_reading)),
        list(
            CurrentResult.objects.order_by("target", "board", "point").values_list(
                "target",
                "board",
                "point",
                "found__key",
                "found_verdict",
                "found_undecidable",
                "not_counted",
                "designed__key",
                "designed_verdict",
                "designed_undecidable",
                "first__key",
                "first_verdict",
            )
        ),
        list(
            FailingSpan.objects.order_by("target", "board", "begins").values_list("target", "begins", "ends")
        ),
        list(
            Trial.objects.order_by("target").values_list("target", "measurement__key", "taken_at", "failed")
        ),
    ]


def emptied() -> None:
    """Take all readings away, so that the same ones can be recorded another way."""
    for table in TABLES:
        table.objects.all().delete()


def one_by_one(script: Caller, sent: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the answers to readings sent alone, as the lines of a list would be."""
    lines = []
    for one in sent:
        answer = script.post("measurements/", one)
        body = answer.json()
        lines.append(body if answer.status_code < 300 else {"status": "rejected", "problem": body})
    return lines


def comparable(lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return lines without what names the place of a reading in a list or in the table."""
    left = [{name: line[name] for name in line if name not in ("id", "index")} for line in lines]
    for line in left:
        line.get("problem", {}).pop("instance", None)
    return left


@pytest.mark.parametrize("seed", range(3))
def test_it_stores_and_answers_the_same_one_by_one_and_in_slices(
    script: Caller, furnished: Bench, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    with clock.standing_at(NOW):
        sitting = open_bench_session(
            actor=furnished.actor, project=furnished.project, title="warm",
            values={"ambient_c": 23.5, "firmware": "1.1"},
        )  # fmt: skip
        rng = random.Random(seed)
        sent = [reading(rng, number, sitting.pk) for number in range(45)]
        sent += rng.sample(sent, 10)
        answers = comparable(one_by_one(script, sent))
        rows = stored()
        assert {line["status"] for line in answers} == {"stored", "duplicate", "rejected"}
        for size in (1, 7, 5_000):
            emptied()
            monkeypatch.setattr(recording, "SLICE", size)
            assert comparable(script.post("measurements/", sent).json()["results"]) == answers
            assert stored() == rows
            assert list(discrepancies_of(furnished.project)) == []
