"""What the boards of a revision say of a target, reached by a second route where it is a number."""

from __future__ import annotations

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from scipy import stats

from logbook.bench.commands import issue_target, record_rework, withdraw_measurement
from logbook.bench.commands.targets import Asked
from logbook.planning.queries import PointSample, samples_of
from logbook.projects.commands import add_revision
from tests.builders import Bench

LIMITS = "3.234..3.366 V"
THREE = ("3.322", "3.319", "3.326")


def boards(bench: Bench, values: tuple[str, ...], target: str = "RLD-2", **given: object) -> None:
    for number, value in enumerate(values, 1):
        serial = f"{number:04}"
        if number > 1 and not bench.project.boards.filter(serial=serial).exists():
            bench.extra_board(serial)
        bench.read(value, target, board=serial, **given)


def only(bench: Bench, key: str = "RLD-2") -> PointSample:
    (sample,) = samples_of(bench.project.targets.get(key=key))
    return sample


def test_three_boards_of_a_revision(bench: Bench) -> None:
    bench.target(limits=LIMITS)
    boards(bench, THREE)
    one = only(bench)
    values = np.array(THREE, dtype=float)
    assert one.sample is not None
    assert (one.revision, one.point, one.sample.n, one.unit.symbol) == ("A", "", 3, "V")
    assert (one.sample.mean, one.sample.s) == pytest.approx((values.mean(), values.std(ddof=1)))
    assert one.capability is not None
    assert one.capability.cpk == pytest.approx((3.366 - values.mean()) / (3 * values.std(ddof=1)))
    # design rule of the predictive model, worked case: 0.0184
    assert one.predictive is not None
    assert one.predictive.p_out == pytest.approx(0.0184, abs=5e-5)


def test_the_chance_by_simulation(bench: Bench) -> None:
    """Draw spread and mean from their posterior, then the next board from those."""
    bench.target(limits=LIMITS)
    boards(bench, THREE, expanded_uncertainty="0.02")
    rng = np.random.default_rng(7)
    values = np.array(THREE, dtype=float)
    squares = 2 * 0.0165**2 + ((values - values.mean()) ** 2).sum()
    variance = squares / rng.chisquare(4, 400_000)
    # The uncertainty widens the scale of the Student distribution, not the normal one beneath it.
    widened = variance * ((squares / 4) * (1 + 1 / 3) + 0.01**2) / (squares / 4)
    following = rng.normal(values.mean(), np.sqrt(widened))
    p_out = ((following < 3.234) | (following > 3.366)).mean()
    predictive = only(bench).predictive
    assert predictive is not None
    assert predictive.p_out == pytest.approx(p_out, abs=2e-3)
    low, high = predictive.interval()
    assert stats.t.cdf((high - predictive.centre) / predictive.scale, 4) == pytest.approx(0.975)
    assert ((following > low) & (following < high)).mean() == pytest.approx(0.95, abs=2e-3)


def test_one_board_leaves_open_what_it_cannot_say(bench: Bench) -> None:
    bench.target(limits=LIMITS)
    boards(bench, ("3.317",))
    one = only(bench)
    assert one.sample is not None
    assert (one.sample.n, one.sample.s, one.tolerance) == (1, None, None)
    assert one.capability == (None, None)
    assert one.predictive is not None
    assert one.predictive.p_out == pytest.approx(0.1207, abs=5e-5)


def test_two_boards_bound_no_cpk(bench: Bench) -> None:
    bench.target(limits=LIMITS)
    boards(bench, THREE[:2])
    one = only(bench)
    assert one.capability is not None
    assert one.capability.cpk is not None
    assert one.capability.cpk_interval is None
    assert one.tolerance is not None


def test_revisions_and_points_stand_apart_with_their_own_limits(bench: Bench) -> None:
    bench.target(limits=LIMITS, points=("CH1", "CH2"))
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    bench.extra_board("B1", later)
    target = bench.project.targets.get()
    issue_target(
        actor=bench.actor,
        target=target,
        asked=Asked(limits="3.1..3.5 V", points=("CH1", "CH2"), meant_for=later),
        reason="wider on B",
    )
    for board, point in (("B1", "CH1"), ("0001", "CH2"), ("0001", "CH1")):
        bench.read("3.3", board=board, point=point)
    found = samples_of(target)
    assert [(one.revision, one.point) for one in found] == [("A", "CH1"), ("A", "CH2"), ("B", "CH1")]
    assert [one.bounds[1] for one in found] == [3.366, 3.366, 3.5]


def test_only_what_counts_as_designed_is_taken(bench: Bench) -> None:
    bench.target(limits=LIMITS)
    boards(bench, THREE)
    withdraw_measurement(actor=bench.actor, measurement=bench.read("3.9", board="0002"), because="wrong pin")
    record_rework(
        actor=bench.actor, board=bench.board, key="RW-1", kind="part swap", intent="modification",
        what="invented", subsystems=[bench.subsystem],
    )  # fmt: skip
    bench.read("5.0")
    assert [one.value for one in only(bench).readings] == [3.322, 3.319, 3.326]


def test_readings_in_another_unit_are_converted(bench: Bench) -> None:
    bench.target(limits=LIMITS)
    bench.read("3298 mV", expanded_uncertainty="4 mV")
    (reading,) = only(bench).readings
    assert (reading.value, reading.uncertainty) == (3.298, pytest.approx(0.002))


def test_words_are_no_numbers(bench: Bench) -> None:
    bench.target(limits=LIMITS)
    bench.read("inconclusive")
    one = only(bench)
    assert (one.sample, one.predictive, one.tolerance) == (None, None, None)


def test_yes_and_no_have_exact_bounds(bench: Bench) -> None:
    bench.target("Y", "yes", kind="yes/no")
    boards(bench, ("yes", "no", "yes"), "Y")
    share = only(bench, "Y").boards
    assert share is not None
    expected = stats.binomtest(1, 3).proportion_ci(0.95, method="exact")
    assert (share.failures, share.trials, share.is_one_sided) == (1, 3, False)
    assert (share.bounds.lower, share.bounds.upper) == pytest.approx((expected.low, expected.high))


def test_no_error_in_many_trials_is_an_upper_bound(bench: Bench) -> None:
    bench.target("E", "0 errors", kind="count")
    boards(bench, ("0 of 1e9", "0 of 2e9"), "E")
    errors = only(bench, "E").errors
    assert errors is not None
    assert (errors.failures, errors.trials, errors.is_one_sided) == (0, 3_000_000_000, True)
    # rule of three, common practice: about 3 / N
    assert errors.bounds.upper == pytest.approx(2.9957 / 3e9, rel=1e-4)


def test_trials_asked_for_count_what_was_missed(bench: Bench) -> None:
    bench.target("M", "98 of 100", kind="count")
    boards(bench, ("99 of 100", "100 of 100"), "M")
    errors = only(bench, "M").errors
    assert errors is not None
    assert (errors.failures, errors.trials) == (1, 200)


def test_counts_without_trials_have_no_error_rate(bench: Bench) -> None:
    bench.target("E", "0 errors", kind="count")
    boards(bench, ("0",), "E")
    assert only(bench, "E").errors is None
    assert only(bench, "E").boards is not None


def test_it_costs_three_queries_however_many_boards(bench: Bench) -> None:
    bench.target(limits=LIMITS)
    boards(bench, THREE * 4)
    target = bench.project.targets.select_related("project").get()
    with CaptureQueriesContext(
        connection,
    ) as queries:
        samples_of(target)
    assert len(queries) == 3
