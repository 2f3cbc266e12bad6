"""The calculations of the invented demo, and the limits that rest on one of them."""

from __future__ import annotations

import pytest

from logbook.bench.models import Target
from logbook.bench.queries.basis import basis_of
from logbook.calculations.models import Calculation
from logbook.core.tolerance import fit_within

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def kept(key: str) -> Calculation:
    return Calculation.objects.get(project__slug="saltlark", key=key)


# The story of finding F-01: 0.600 V × (1 + 43k/10k) = 3.180 V; 68k/15k gives 3.320 V, 3.281 V to 3.359 V.
@pytest.mark.parametrize(("key", "nominal"), [("VDIV-A", "3.18"), ("VDIV-B", "3.32")])
def test_the_dividers_of_both_revisions_are_kept(key: str, nominal: str) -> None:
    assert kept(key).bands["nominal"] == nominal


def test_the_divider_of_rev_b_keeps_the_limits_of_its_rail_at_worst() -> None:
    low, high = (float(kept("VDIV-B").bands["extreme"][end]) for end in ("low", "high"))
    assert (round(low, 3), round(high, 3)) == (3.281, 3.359)
    assert fit_within(low, high, limit_low=3.234, limit_high=3.366).inside
    assert kept("VDIV-B").version == 2


def test_the_divider_of_rev_a_cannot_reach_the_limits() -> None:
    assert float(kept("VDIV-A").bands["nominal"]) < 3.234


def test_a_saved_calculation_stands_behind_the_limits_of_a_rail() -> None:
    issue = Target.objects.get(project__slug="saltlark", key="RLA-1").issues.latest("number")
    basis = basis_of(issue)
    assert (issue.low, issue.high, issue.basis) == ("4.95", "5.05", "derived")
    assert basis is not None
    assert basis.calculation.key == "VREG-5A"
    assert not basis.has_moved
    assert not issue.changes_more_than_limits
