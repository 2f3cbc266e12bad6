"""The invented bills of materials of revisions B and C tell the story of the demo."""

from __future__ import annotations

import pytest

from logbook.core.parts_list import group_designators
from logbook.projects.models import Revision
from logbook.projects.queries.bills import bill_lines_of, bill_of, compared_bills, proposed_changes_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def revision(label: str) -> Revision:
    return Revision.objects.get(project__slug="saltlark", label=label)


def test_no_row_of_the_demo_is_refused_or_odd() -> None:
    for label in ("B", "C"):
        bill = bill_of(revision(label))
        assert (bill.refused, bill.remarks) == ([], [])


def test_the_link_for_logic_levels_is_fitted_on_neither() -> None:
    for label in ("B", "C"):
        (link,) = bill_lines_of(bill_of(revision(label))).filter(designator="R89")
        assert not link.is_fitted


def test_c_differs_from_b_in_what_the_story_changed() -> None:
    # Told by the story of the demo; a value written differently is no difference.
    found = compared_bills(revision("C"), revision("B")).differences
    assert {(str(one.designator), str(one.kind)) for one in found} == {
        ("C11", "value"),
        ("C11", "part"),
        ("C12", "value"),
        ("C12", "part"),
        ("J7", "value"),
        ("J7", "footprint"),
        ("J7", "part"),
        ("R92", "added"),
        ("SB2", "added"),
        ("TP15", "added"),
        ("TP16", "added"),
        ("U21", "added"),
    }


def test_proposed_changes_know_what_is_recorded_already() -> None:
    c = revision("C")
    proposed = {
        one.proposal.subsystem: one for one in proposed_changes_of(c, compared_bills(c, revision("B")))
    }
    assert list(proposed) == ["CLK", "COM", "RLD", ""]
    assert {key: group_designators(names) for key, names in proposed["CLK"].named_by.items()} == {
        "F-07": "C11, C12"
    }
    assert proposed[""].proposal.designators == "TP15, TP16"
