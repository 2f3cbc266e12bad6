"""What the story of the invented demo says of its orders follows from the data."""

from __future__ import annotations

from datetime import date

import pytest

from logbook.planning.models import Order
from logbook.planning.queries import readiness_of
from logbook.projects.models import Revision

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def order(label: str) -> Order:
    return Order.objects.get(revision__project__slug="saltlark", revision__label=label)


def revision(label: str) -> Revision:
    return Revision.objects.get(project__slug="saltlark", label=label)


@pytest.mark.parametrize(
    ("label", "decided_on", "ordered_on"),
    [
        ("A", date(2020, 9, 14), date(2020, 9, 14)),
        ("B", date(2021, 4, 12), date(2021, 4, 12)),
        ("C", date(2024, 8, 30), date(2024, 9, 2)),
    ],
)
def test_each_revision_was_ordered_on_its_day(label: str, decided_on: date, ordered_on: date) -> None:
    found = order(label)
    assert (found.decision, found.decided_on, found.ordered_on) == (
        "go with conditions", decided_on, ordered_on,
    )  # fmt: skip
    assert revision(label).ordered_on == ordered_on


def test_the_legend_was_a_condition_of_c() -> None:
    found = order("C")
    assert "legend" in found.conditions
    answers = {one["key"]: one["answer"] for one in found.answers}
    assert (answers["legend"], answers["lessons"]) == ("no", "yes")


def test_d_lacks_what_the_draft_was_opened_for() -> None:
    found = readiness_of(revision("D"))
    by_ground: dict[str, set[str]] = {}
    for one in found.missing:
        by_ground.setdefault(str(one.gap.ground), set()).add(one.gap.subject)
    assert by_ground["acceptance lapsed"] == {"F-12", "F-13"}
    assert "F-17" in {row.subject for row in found.also_open}
    assert "F-18" not in {one.gap.subject for one in found.missing}


def test_the_untested_memory_was_missing_before_it_was_tested() -> None:
    missing = {one.gap.subject for one in readiness_of(revision("B"), as_of=date(2024, 6, 19)).missing}
    assert {"MEM-1", "MEM-2", "MEM-3", "MEM-4"} <= missing
