"""Deciding to order a revision, and ordering it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import NamedTuple

from django.db import transaction
from django.utils import timezone

from logbook.common import clock
from logbook.common.changes import Actor, check_whole, note_change, store_new
from logbook.common.errors import ConflictError, FieldProblem, InvalidInputError
from logbook.core.readiness import QUESTIONS
from logbook.evidence.models import Evidence
from logbook.planning.choices import OrderDecision, QuestionAnswer
from logbook.planning.models import Order
from logbook.planning.queries.orders import file_set_hash
from logbook.planning.queries.readiness import RevisionReadiness, readiness_of
from logbook.projects.commands import change_revision
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Revision

LONGEST_REMARK = 500
MOST_NAMED = 20


class Answered(NamedTuple):
    """What was answered to one question."""

    answer: str
    remark: str = ""


@transaction.atomic
def record_order(
    *,
    actor: Actor,
    revision: Revision,
    decision: str,
    name: str = "",
    decided_on: date | None = None,
    conditions: str = "",
    note: str = "",
    answers: Mapping[str, Answered] | None = None,
    files: Sequence[Evidence] = (),
    files_sha256: str = "",
    ordered_on: date | None = None,
    although_missing: bool = False,
) -> Order:
    """Record go, go with conditions or no-go, with how ready the revision is now.

    ``name`` is the actor and ``decided_on`` today if left out. With ``ordered_on`` it is ordered as well.
    That something is missing stops nobody, and the record keeps what it was; but go without conditions
    needs ``although_missing`` then.
    """
    today = timezone.localtime(clock.now()).date()
    for file in files:
        check_belongs("files", file, revision.project_id)
    found = readiness_of(revision)
    order = Order(
        revision=revision,
        decision=decision,
        name=name.strip() or (actor.user.username if actor.user else ""),
        decided_on=_not_ahead("decided_on", decided_on or today, today),
        conditions=conditions.strip(),
        note=note.strip(),
        answers=_answers(answers or {}),
        files=[{"name": one.name, "sha256": one.sha256} for one in files],
        files_sha256=_hash_of(files, files_sha256.strip().lower()),
        ready=found.ready,
        missing=[{"what": one.gap.what, "reason": one.gap.reason} for one in found.missing],
        recorded_at=clock.now(),
        recorded_by=actor.user,
    )
    check_whole(order)
    if not although_missing:
        _check_complete(order, found)
    store_new(order, actor=actor, project_id=revision.project_id)
    return place_order(actor=actor, order=order, ordered_on=ordered_on) if ordered_on else order


@transaction.atomic
def place_order(*, actor: Actor, order: Order, ordered_on: date) -> Order:
    """Note the day an order was placed, once; a revision keeps the day it was first ordered."""
    today = timezone.localtime(clock.now()).date()
    _not_ahead("ordered_on", ordered_on, today)
    if ordered_on < order.decided_on:
        message = "a board is ordered after it was decided to, not before"
        allowed = f"{order.decided_on} to {today}"
        raise InvalidInputError.of("ordered_on", message, given=ordered_on, allowed=allowed)
    if order.decision == OrderDecision.NO_GO:
        message = "after no-go nothing is ordered; record a new decision"
        raise InvalidInputError.of("ordered_on", message, given=ordered_on, allowed="nothing here")
    placed = Order.objects.filter(pk=order.pk, ordered_on__isnull=True).update(ordered_on=ordered_on)
    order.refresh_from_db(fields=["ordered_on"])
    if not placed:
        message = f"{order} was already placed on {order.ordered_on}"
        raise ConflictError(message)
    project_id = order.revision.project_id
    fields = {"ordered_on": ["", ordered_on.isoformat()]}
    note_change(order, action="changed", actor=actor, project_id=project_id, fields=fields)
    if order.revision.ordered_on is None:
        change_revision(actor=actor, revision=order.revision, values={"ordered_on": ordered_on})
    return order


def _check_complete(order: Order, found: RevisionReadiness) -> None:
    """Refuse a go, as long as nobody says that it is meant, with something missing."""
    if order.decision != OrderDecision.GO:
        return
    subjects = [one.gap.subject for one in found.missing]
    silent = [one["key"] for one in order.answers if one["answer"] == QuestionAnswer.OPEN]
    lacks = [f"what readiness names: {_listed(subjects)}"] if subjects else []
    lacks += [f"answers to {len(silent)} of {len(QUESTIONS)} questions: {_listed(silent)}"] if silent else []
    lacks += [] if order.files_sha256 else ["the hash of the files"]
    if lacks:
        message = f"this is missing: {'; '.join(lacks)}. Say that you order although it is"
        allowed = "true, or go with conditions, or no-go"
        problem = FieldProblem("although_missing", message, "false", allowed, code="missing")
        raise ConflictError(message, problems=[problem])


def _listed(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def _not_ahead(field: str, day: date, today: date) -> date:
    if day > today:
        raise InvalidInputError.of(
            field, "this day lies in the future", given=day, allowed=f"up to {today}", code="future"
        )
    return day


def _answers(given: Mapping[str, Answered]) -> list[dict[str, str]]:
    """Return one answer to each question; those nobody answered say so."""
    for key, one in given.items():
        _check_answer(key, one)
    silent = Answered(str(QuestionAnswer.OPEN))
    rows = [(question, given.get(question.key, silent)) for question in QUESTIONS]
    return [
        {"key": asked.key, "question": asked.text, "answer": one.answer, "remark": one.remark.strip()}
        for asked, one in rows
    ]


def _check_answer(key: str, one: Answered) -> None:
    known = [question.key for question in QUESTIONS]
    if key not in known:
        raise InvalidInputError.of("answers", "no such question", given=key, allowed=", ".join(sorted(known)))
    if one.answer not in QuestionAnswer.values:
        allowed = ", ".join(QuestionAnswer.values)
        message = f"{key}: no answer {one.answer!r}"
        raise InvalidInputError.of("answers", message, given=one.answer, allowed=allowed)
    if len(one.remark) > LONGEST_REMARK:
        message = f"{key}: the remark is too long"
        allowed = f"up to {LONGEST_REMARK} characters"
        raise InvalidInputError.of("answers", message, given=len(one.remark), allowed=allowed)


def _hash_of(files: Sequence[Evidence], pasted: str) -> str:
    """Return the hash of the file set; one given beside files must be theirs."""
    if not files:
        return pasted
    computed = file_set_hash((one.name, one.sha256) for one in files)
    if pasted not in ("", computed):
        message = "this is not the hash of the files chosen"
        raise InvalidInputError.of("files_sha256", message, given=pasted, allowed=f"{computed}, or nothing")
    return computed
