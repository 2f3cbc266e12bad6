"""A number's limits say their unit; a plain ratio says 1."""

from __future__ import annotations

import pytest

from logbook.bench.commands import issue_target
from logbook.bench.commands.targets import asked_like
from logbook.common.errors import InvalidInputError
from tests.builders import Bench


@pytest.mark.parametrize("limits", [">= 5", "3..5", "5 ± 10 %"])
def test_limits_without_a_unit_are_refused(bench: Bench, limits: str) -> None:
    with pytest.raises(InvalidInputError) as refused:
        bench.target("CLK-2", limits)
    (problem,) = refused.value.problems
    assert (problem.field, problem.message) == ("limits", "these limits have no unit")
    assert problem.given == limits
    assert "1 for a ratio" in problem.allowed
    assert not bench.project.targets.exists()


def test_a_plain_ratio_says_so(bench: Bench) -> None:
    bench.target("CLK-2", ">= 5", unit="1")
    assert bench.read("6.2", "CLK-2").verdict == "pass"


def test_a_ratio_can_be_issued_anew_as_it_was(bench: Bench) -> None:
    target = bench.target("CLK-2", ">= 5", unit="1")
    first = target.issues.get()
    issue_target(actor=bench.actor, target=target, asked=asked_like(first), reason="as it was")
    assert target.issues.latest("number").limits_text == first.limits_text


@pytest.mark.parametrize(
    ("limits", "kind"), [("0 errors", "count"), ("100 of 100", "count"), ("yes", "yes/no")]
)
def test_counts_and_answers_need_none(bench: Bench, limits: str, kind: str) -> None:
    assert bench.target("MEM-1", limits, kind=kind).issues.get().limits_text == limits
