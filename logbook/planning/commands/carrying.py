"""Evidence carried over by hand."""

from __future__ import annotations

from django.db import transaction

from logbook.bench.models import Target
from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.errors import InvalidInputError
from logbook.common.withdrawing import withdraw
from logbook.planning.models import CarriedOver
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Revision


@transaction.atomic
def carry_over(
    *, actor: Actor, revision: Revision, target: Target, argument: str, by: str = ""
) -> CarriedOver:
    """Vouch that an ancestor's evidence for a target holds on a revision; ``by`` is the actor if left out.

    It takes no effect where the ancestor fails, where nothing counts there, or once a reading here does.
    """
    check_belongs("target", target, revision.project_id)
    if revision.parent_id is None:
        message = f"revision {revision} has no parent to carry evidence over from"
        raise InvalidInputError.of("revision", message, given=revision.label)
    carried = CarriedOver(
        revision=revision,
        target=target,
        argument=argument.strip(),
        by=by or (actor.user.username if actor.user else ""),
        recorded_at=clock.now(),
        recorded_by=actor.user,
    )
    store_new(carried, actor=actor, project_id=revision.project_id)
    return carried


@transaction.atomic
def withdraw_carry_over(*, actor: Actor, carried: CarriedOver, because: str) -> CarriedOver:
    """Withdraw a carry-over with a reason."""
    withdraw(carried, because=because, actor=actor, project_id=carried.revision.project_id)
    return carried
