"""Limits taken from a calculation, and whether their basis has moved."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.bench.commands import issue_target, take_band
from logbook.bench.commands.targets import asked_like
from logbook.bench.models import Target, TargetIssue
from logbook.bench.queries.basis import LimitsBasis, basis_of, targets_based_on
from logbook.calculations.commands import change_calculation, save_calculation
from logbook.calculations.models import Calculation
from logbook.calculations.translate import StackAsked
from logbook.common.errors import InvalidInputError
from tests.builders import Bench, build_bench


def saved(bench: Bench, tolerance: str = "1 %", key: str = "VDIV-1") -> Calculation:
    parts = {
        "vref": {"nominal": "0.6 V", "tolerance": "1 %"},
        "rtop": {"nominal": "45.3k", "tolerance": tolerance},
        "rbot": {"nominal": "10k", "tolerance": "1 %"},
    }
    asked = StackAsked("vref*(1 + rtop/rbot)", parts, "V", samples=1_000)
    return save_calculation(actor=bench.actor, project=bench.project, key=key, name="divider", asked=asked)


def taken(bench: Bench, calculation: Calculation, target: Target) -> TargetIssue:
    return take_band(
        actor=bench.actor, target=target, calculation=calculation, band="extreme", reason="now calculated"
    )


def widened(bench: Bench, calculation: Calculation) -> None:
    parts = {**calculation.parts, "rtop": {"nominal": "45.3k", "tolerance": "5 %"}}
    change_calculation(actor=bench.actor, calculation=calculation, values={"parts": parts})


def current_basis(target: Target) -> LimitsBasis:
    basis = basis_of(target.issues.latest("number"))
    assert basis is not None
    return basis


def test_a_band_becomes_the_limits_rounded_outwards(bench: Bench) -> None:
    issue = taken(bench, saved(bench), bench.target())
    # B-03 of the check values: 3.23153643564 to 3.40663818182.
    assert (issue.low, issue.high, issue.nominal, issue.unit) == ("3.2315", "3.4067", "3.318", "V")
    assert (issue.basis, issue.basis_note) == ("derived", "calculation VDIV-1, band extreme, version 1")
    assert not issue.changes_more_than_limits


def test_the_basis_stays_until_a_part_changes(bench: Bench) -> None:
    target, calculation = bench.target(), saved(bench)
    taken(bench, calculation, target)
    assert not current_basis(target).has_moved
    widened(bench, calculation)
    assert current_basis(target).has_moved


def test_a_moved_basis_shows_both_bands_and_leaves_the_limits(bench: Bench) -> None:
    target, calculation = bench.target(), saved(bench)
    issue = taken(bench, calculation, target)
    widened(bench, calculation)
    basis = current_basis(target)
    assert basis.issued == issue.limits_text
    assert basis.now is not None
    assert float(basis.now.high) > 3.4067
    assert target.issues.latest("number").high == "3.4067"


def test_issuing_anew_takes_the_band_as_it_is_now(bench: Bench) -> None:
    target, calculation = bench.target(), saved(bench)
    taken(bench, calculation, target)
    widened(bench, calculation)
    taken(bench, calculation, target)
    assert not current_basis(target).has_moved
    assert target.issues.latest("number").basis_note.endswith("version 2")


def test_an_issue_for_another_reason_keeps_limits_and_link(bench: Bench) -> None:
    target, calculation = bench.target(), saved(bench)
    taken(bench, calculation, target)
    widened(bench, calculation)
    newest = target.issues.latest("number")
    again = issue_target(actor=bench.actor, target=target, asked=asked_like(newest), reason="on two boards")
    assert (again.high, again.calculation_id) == ("3.4067", calculation.pk)


def test_typed_limits_beside_a_calculation_are_refused(bench: Bench) -> None:
    calculation = saved(bench)
    with pytest.raises(InvalidInputError, match="leave one of them empty"):
        bench.target(limits="3.1..3.5 V", calculation=calculation, calculation_band="extreme")


@pytest.mark.parametrize(
    "asked",
    [{"calculation_band": "typical"}, {"calculation_band": "extreme", "kind": "yes/no"}],
    ids=["no such band", "no number"],
)
def test_it_refuses_a_band_that_gives_no_limits(bench: Bench, asked: dict[str, Any]) -> None:
    calculation = saved(bench)
    with pytest.raises(InvalidInputError):
        bench.target(limits="", calculation=calculation, **asked)


def test_a_band_without_width_is_no_limit(bench: Bench) -> None:
    asked = StackAsked("v", {"v": "3 V"}, "V", samples=1_000)
    exact = save_calculation(actor=bench.actor, project=bench.project, key="X", name="x", asked=asked)
    with pytest.raises(InvalidInputError, match="no width"):
        bench.target(limits="", calculation=exact, calculation_band="extreme")


def test_the_calculation_of_another_project_is_refused(bench: Bench) -> None:
    other = saved(build_bench("gull"))
    with pytest.raises(InvalidInputError, match="another project"):
        bench.target(limits="", calculation=other, calculation_band="extreme")


def test_it_names_the_targets_whose_newest_issue_is_based_on_it(bench: Bench) -> None:
    calculation, target, left = saved(bench), bench.target(), bench.target("RLD-3")
    taken(bench, calculation, target)
    taken(bench, calculation, left)
    bench_asked = asked_like(left.issues.get(number=1))
    issue_target(actor=bench.actor, target=left, asked=bench_asked, reason="required after all")
    assert [one.target.key for one in targets_based_on(calculation)] == ["RLD-2"]
