"""Targets that do not apply to a revision."""

from __future__ import annotations

from django.db import transaction

from logbook.bench.models import Target
from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.withdrawing import withdraw
from logbook.planning.models import NotApplicable
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Revision


@transaction.atomic
def decide_not_applicable(
    *, actor: Actor, revision: Revision, target: Target, reason: str, by: str = ""
) -> NotApplicable:
    """Decide that a target does not apply to a revision; ``by`` is the actor if left out."""
    check_belongs("target", target, revision.project_id)
    decided = NotApplicable(
        revision=revision,
        target=target,
        reason=reason.strip(),
        by=by or (actor.user.username if actor.user else ""),
        recorded_at=clock.now(),
        recorded_by=actor.user,
    )
    store_new(decided, actor=actor, project_id=revision.project_id)
    return decided


@transaction.atomic
def withdraw_not_applicable(*, actor: Actor, decided: NotApplicable, because: str) -> NotApplicable:
    """Withdraw that decision with a reason; the target is asked again."""
    withdraw(decided, because=because, actor=actor, project_id=decided.revision.project_id)
    return decided
