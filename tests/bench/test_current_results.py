"""What is kept always equals a recomputation from the history, whatever happened in which order.

The second route is ``discrepancies_of``, which derives everything from the readings alone.
"""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.bench.commands import (
    ReadingInput,
    add_instrument,
    change_target,
    issue_target,
    record_calibration,
    record_option_setting,
    record_readings,
    record_rework,
    set_position_by_design,
    undo_rework,
    withdraw_measurement,
)
from logbook.bench.commands.targets import Asked
from logbook.bench.models import CurrentResult, FailingSpan, Measurement, Target, Trial
from logbook.bench.queries.evaluation import merged
from logbook.bench.queries.verification import discrepancies_of
from logbook.boards.models import OptionSetting, Rework
from logbook.boards.queries import Stretch
from logbook.common.errors import ConflictError
from logbook.projects.commands import add_option
from tests.builders import Bench

START = datetime(2024, 3, 1, 9, 0, tzinfo=UTC)


class History:
    """A random life of a small project: every kind of event that can change a result."""

    def __init__(self, bench: Bench, seed: int) -> None:
        self.bench, self.random = bench, random.Random(seed)
        bench.target("T1", "3.2..3.4 V")
        bench.target("T2", "<= 30 mV", needs=["T1"], points=("CH1", "CH2"))
        bench.target("T3", "yes", needs=["T2"], kind="yes/no")
        bench.target("T4", "0 errors", kind="count")
        bench.extra_board("0002")
        self.instrument = add_instrument(actor=bench.actor, name="M-1", kind="meter")
        record_calibration(
            actor=bench.actor, instrument=self.instrument, number="K1",
            on=date(2024, 1, 1), result="in limits", next_due=date(2024, 3, 2),
        )  # fmt: skip
        self.option = add_option(
            actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP1",
            name="jumper", positions=[("in", ""), ("out", "")],
        )  # fmt: skip

    def moment(self) -> datetime:
        return START + timedelta(minutes=self.random.randrange(0, 4 * 24 * 60, 30))

    def readings(self) -> None:
        values = {
            "T1": lambda: self.random.choice(["3.3", "3.1", "3.205"]),
            "T2": lambda: self.random.choice(["12", "44", "29.5", "inconclusive"]),
            "T3": lambda: self.random.choice(["yes", "no", "seen working"]),
            "T4": lambda: self.random.choice(["0", "7"]),
        }
        items = []
        for _ in range(self.random.randrange(1, 6)):
            target = self.random.choice(list(values))
            items.append(
                ReadingInput(
                    project=self.bench.project.slug,
                    board=self.random.choice(["0001", "0002"]),
                    target=target,
                    point=self.random.choice(["CH1", "CH2"]) if target == "T2" else "",
                    value=values[target](),
                    unit={"T1": "V", "T2": "mV"}.get(target, ""),
                    expanded_uncertainty="1e-2" if target == "T1" else None,
                    instrument=self.random.choice(["", "M-1"]),
                    taken_at=self.moment(),
                )
            )
        record_readings(actor=self.bench.actor, items=items)

    def withdrawal(self) -> None:
        standing = list(Measurement.objects.filter(withdrawn_at__isnull=True))
        if standing:
            withdraw_measurement(
                actor=self.bench.actor, measurement=self.random.choice(standing), because="wrong board"
            )

    def new_issue(self) -> None:
        limits, conditions = self.random.choice(
            [("3.0..3.4 V", ""), ("3.25..3.4 V", ""), ("3.2..3.4 V", "warm"), ("3.2..3.4 V", "")]
        )
        asked = Asked(limits=limits, conditions=conditions)
        issue_target(actor=self.bench.actor, target=self.target("T1"), asked=asked, reason="thought again")

    def target(self, key: str) -> Target:
        return Target.objects.get(project=self.bench.project, key=key)

    def rework(self) -> None:
        number = Rework.objects.count() + 1
        record_rework(
            actor=self.bench.actor,
            board=self.bench.board,
            key=f"RW-{number}",
            kind="part swap",
            intent=self.random.choice(["repair", "modification", "to drawing"]),
            what="invented",
            subsystems=[self.bench.subsystem],
            in_force_from=self.moment(),
        )

    def undoing(self) -> None:
        rework = Rework.objects.filter(in_force_until__isnull=True).first()
        if rework:
            undo_rework(actor=self.bench.actor, rework=rework, at=rework.in_force_from + timedelta(hours=20))

    def option_setting(self) -> None:
        position = self.random.choice([*self.option.positions.all(), None])
        try:
            record_option_setting(
                actor=self.bench.actor, board=self.bench.board, option=self.option,
                position=position, in_force_from=self.moment(),
            )  # fmt: skip
        except ConflictError:
            assert OptionSetting.objects.exists()

    def design(self) -> None:
        position = self.random.choice(list(self.option.positions.all()))
        set_position_by_design(
            actor=self.bench.actor, revision=self.bench.revision, option=self.option, position=position
        )

    def prerequisites(self) -> None:
        needs = self.random.choice([["T1"], ["T4"], [], ["T1", "T4"]])
        change_target(actor=self.bench.actor, target=self.target("T2"), values={}, prerequisites=needs)

    def calibration(self) -> None:
        number = self.instrument.calibrations.count() + 1
        on = date(2024, 3, 3) + timedelta(days=number)
        record_calibration(
            actor=self.bench.actor, instrument=self.instrument, number=f"K{number}", on=on,
            result=self.random.choice(["in limits", "out of limits"]), next_due=on + timedelta(days=365),
        )  # fmt: skip

    def step(self) -> str:
        rare = [self.new_issue, self.rework, self.undoing, self.option_setting, self.design]
        events = [self.readings] * 10 + [self.withdrawal] * 4 + rare + [self.prerequisites, self.calibration]
        event = self.random.choice(events)
        event()
        return event.__name__


@pytest.mark.parametrize("seed", range(8))
def test_it_equals_the_history_after_every_kind_of_event(bench: Bench, seed: int) -> None:
    history = History(bench, seed)
    for number in range(30):
        event = history.step()
        assert list(discrepancies_of(bench.project)) == [], f"after event {number}, {event}"


def test_it_does_not_depend_on_the_order_of_recording(bench: Bench) -> None:
    bench.target("T1", "3.2..3.4 V")
    bench.target("T2", "<= 30 mV", needs=["T1"])
    items = [
        ReadingInput("tern", "0001", value, target, unit=unit, taken_at=START + timedelta(minutes=minute))
        for minute, (target, value, unit) in enumerate(
            [
                ("T1", "3.1", "V"),
                ("T2", "12", "mV"),
                ("T1", "3.3", "V"),
                ("T2", "13", "mV"),
                ("T2", "50", "mV"),
            ]
        )
    ]
    ends = set()
    for seed in range(6):
        for table in (Trial, FailingSpan, CurrentResult, Measurement):
            table.objects.all().delete()
        shuffled = random.Random(seed).sample(items, len(items))
        for item in shuffled:
            record_readings(actor=bench.actor, items=[item])
        rows = CurrentResult.objects.order_by("target__key")
        ends.add(
            tuple(
                rows.values_list("target__key", "found__text", "designed__text", "first__text", "not_counted")
            )
        )
    assert ends == {(("T1", "3.3", "3.3", "3.1", ""), ("T2", "50", "50", "13", ""))}


def test_it_is_found_out_when_a_kept_row_was_tampered_with(bench: Bench) -> None:
    bench.target()
    bench.read("3.3 V")
    CurrentResult.objects.update(designed_verdict="fail")
    assert [found.kind for found in discrepancies_of(bench.project)] == ["current result"]


def test_a_reading_taken_while_a_prerequisite_failed_does_not_count(bench: Bench) -> None:
    bench.target("T1", "3.2..3.4 V")
    bench.target("T2", "<= 30 mV", needs=["T1"])
    bench.read("3.1 V", "T1", taken_at=START)
    bench.read("12 mV", "T2", taken_at=START + timedelta(hours=1))
    row = CurrentResult.objects.get(target__key="T2")
    assert (row.designed, row.not_counted) == (None, "taken while T1 failed here")


def test_withdrawing_the_failing_prerequisite_makes_the_reading_count(bench: Bench) -> None:
    bench.target("T1", "3.2..3.4 V")
    bench.target("T2", "<= 30 mV", needs=["T1"])
    failing = bench.read("3.1 V", "T1", taken_at=START)
    bench.read("12 mV", "T2", taken_at=START + timedelta(hours=1))
    withdraw_measurement(actor=bench.actor, measurement=failing, because="probe slipped")
    assert CurrentResult.objects.get(target__key="T2").designed_verdict == "pass"


@given(st.lists(st.integers(0, 20), min_size=2, max_size=12, unique=True))
@settings(max_examples=50)
def test_merged_stretches_do_not_touch(hours: list[int]) -> None:
    moments = [START + timedelta(hours=hour) for hour in sorted(hours)]
    stretches = [Stretch(a, b, "") for a, b in pairwise(moments)]
    assert merged(stretches) == [Stretch(moments[0], moments[-1], "")]
