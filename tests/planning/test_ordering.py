"""Order records: what was decided, how ready it was then, and the day of ordering."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from hashlib import sha256
from typing import Any

import pytest

from logbook.common import clock
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.common.models import ChangeRecord
from logbook.core.readiness import QUESTIONS
from logbook.planning.commands import Answered, place_order, record_order
from logbook.planning.models import Order
from logbook.planning.queries.orders import file_set_hash
from tests.builders import Bench

TODAY = date(2024, 9, 2)


@pytest.fixture(autouse=True)
def _second_of_september() -> Iterator[None]:
    with clock.standing_at(datetime(2024, 9, 2, 12, tzinfo=UTC)):
        yield


def order(bench: Bench, decision: str = "go", **given: Any) -> Order:
    given = {"although_missing": True} | given
    return record_order(actor=bench.actor, revision=bench.revision, decision=decision, **given)


def test_it_keeps_how_ready_the_revision_was(bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    made = order(bench, "go with conditions", conditions="legend checked")
    assert not made.ready
    assert made.missing[0]["what"].startswith("High risk: RLD-2")
    assert (made.name, made.decided_on) == (bench.owner.username, TODAY)


def test_go_is_refused_until_somebody_says_although_this_is_missing(bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    with pytest.raises(ConflictError) as refused:
        order(bench, although_missing=False, answers={"fit": Answered("no")})
    (problem,) = refused.value.problems
    assert problem.field == "although_missing"
    for part in ("RLD-2", "answers to 13 of 14 questions", "the hash of the files"):
        assert part in problem.message
    assert not Order.objects.exists()


def test_go_needs_no_more_words_when_nothing_is_missing(bench: Bench) -> None:
    answers = {question.key: Answered("yes") for question in QUESTIONS}
    assert order(bench, although_missing=False, answers=answers, files_sha256="a" * 64).ready


@pytest.mark.parametrize(("decision", "conditions"), [("no-go", ""), ("go with conditions", "legend first")])
def test_other_decisions_are_asked_once_only(bench: Bench, decision: str, conditions: str) -> None:
    assert order(bench, decision, conditions=conditions, although_missing=False).pk


def test_every_question_has_an_answer_also_no_and_none(bench: Bench) -> None:
    made = order(bench, answers={"legend": Answered("no", "redrawn first"), "fit": Answered("yes")})
    kept = {one["key"]: (one["answer"], one["remark"]) for one in made.answers}
    assert kept["legend"] == ("no", "redrawn first")
    assert kept["fit"] == ("yes", "")
    assert kept["money"] == ("not answered", "")
    assert len(kept) == 14


def test_ordering_sets_the_day_of_the_revision_once(bench: Bench) -> None:
    made = order(bench, decided_on=TODAY - timedelta(days=3))
    assert bench.revision.ordered_on is None
    place_order(actor=bench.actor, order=made, ordered_on=TODAY)
    bench.revision.refresh_from_db()
    assert (made.ordered_on, bench.revision.ordered_on) == (TODAY, TODAY)
    with pytest.raises(ConflictError, match="already placed on 2024-09-02"):
        place_order(actor=bench.actor, order=made, ordered_on=TODAY)
    order(bench, decided_on=TODAY, ordered_on=TODAY)
    bench.revision.refresh_from_db()
    assert bench.revision.ordered_on == TODAY


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"decision": "perhaps", "conditions": ""}, "decision"),
        ({"decision": "go with conditions"}, "__all__"),
        ({"decision": "go", "conditions": "legend"}, "__all__"),
        ({"decision": "no-go", "ordered_on": TODAY}, "ordered_on"),
        ({"decided_on": TODAY + timedelta(days=1)}, "decided_on"),
        ({"ordered_on": TODAY - timedelta(days=1)}, "ordered_on"),
        ({"answers": {"weather": Answered("yes")}}, "answers"),
        ({"answers": {"legend": Answered("maybe")}}, "answers"),
        ({"answers": {"legend": Answered("yes", "x" * 501)}}, "answers"),
        ({"files_sha256": "abc"}, "files_sha256"),
    ],
)
def test_what_is_wrong_is_named(bench: Bench, given: dict[str, Any], field: str) -> None:
    with pytest.raises(InvalidInputError) as refused:
        order(bench, **given)
    assert refused.value.problems[0].field == field


def test_it_is_on_record_who_ordered(bench: Bench) -> None:
    order(bench, ordered_on=TODAY)
    kinds = ChangeRecord.objects.filter(kind__in=["order", "revision"]).order_by("-id")
    assert [(row.kind, row.action) for row in kinds[:3]] == [
        ("revision", "changed"),
        ("order", "changed"),
        ("order", "added"),
    ]


def test_the_hash_is_that_of_the_sorted_list_of_sha256sum() -> None:
    """The two SHA-256 of FIPS 180-2, appendix B: of "abc", and of the 56-byte message."""
    abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    longer = "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
    listed = f"{longer}  board.gtl\n{abc}  board.drl\n".encode()
    assert file_set_hash([("board.drl", abc), ("board.gtl", longer)]) == sha256(listed).hexdigest()
    assert file_set_hash([("board.gtl", longer), ("board.drl", abc)]) == sha256(listed).hexdigest()
