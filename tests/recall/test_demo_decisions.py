"""What the story of the invented demo says of its decisions follows from the data."""

from __future__ import annotations

from datetime import date

import pytest

from logbook.planning.queries import RiskRow, coverage_of, open_risks_of
from logbook.projects.models import Revision

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def row(label: str, subject: str, as_of: date | None = None) -> RiskRow:
    revision = Revision.objects.get(project__slug="saltlark", label=label)
    return next(one for one in open_risks_of(revision, as_of=as_of).rows if one.subject == subject)


@pytest.mark.parametrize("finding", ["F-12", "F-13"])
def test_both_acceptances_hold_on_c_and_have_lapsed_on_d(finding: str) -> None:
    assert row("C", finding).is_decided
    lapsed = row("D", finding)
    assert not lapsed.is_decided
    assert lapsed.disposition is not None
    assert (lapsed.disposition.held.hold, lapsed.disposition.held.because) == (
        "lapsed",
        "accepted by iv until revision D, which is here",
    )


@pytest.mark.parametrize(("label", "state"), [("C", "waived"), ("D", "stale")])
def test_the_warm_regulator_is_waived_until_d(label: str, state: str) -> None:
    revision = Revision.objects.get(project__slug="saltlark", label=label)
    found = next(one for one in coverage_of(revision).rows if one.target.key == "RLA-7")
    assert (found.state, found.beneath) == (state, "failing" if state == "waived" else "")


def test_the_crosstalk_was_put_off_to_c_when_the_project_was_shelved() -> None:
    deferred = row("B", "F-08", date(2021, 12, 3))
    assert deferred.is_decided
    assert deferred.disposition is not None
    assert deferred.disposition.says.startswith("defer by iv until revision C")


def test_the_reading_on_0006_would_have_opened_the_acceptance_of_b_again() -> None:
    before = row("C", "F-13", date(2024, 10, 27))
    assert not before.is_decided
    assert before.disposition is not None
    assert "new reading of RLA-7 on 0006: fail" in before.disposition.held.because
