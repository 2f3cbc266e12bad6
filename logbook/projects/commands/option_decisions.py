"""Deciding an option for a revision, leaving it open on purpose, and recording what was ordered."""

from __future__ import annotations

from django.db import transaction

from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.errors import InvalidInputError
from logbook.projects.commands.belonging import check_belongs, check_position
from logbook.projects.models import Option, OptionDecision, OptionPosition, OrderedPosition, Revision
from logbook.projects.queries import lineages


@transaction.atomic
def decide_option(
    *, actor: Actor, revision: Revision, option: Option, position: OptionPosition | None, because: str
) -> OptionDecision:
    """Record which position a revision is to have, with the reason; ``None`` means not fitted."""
    check_position(position, option)
    return _store(OptionDecision(is_open=False, position=position), actor, revision, option, because)


@transaction.atomic
def leave_option_open(
    *, actor: Actor, revision: Revision, option: Option, because: str, until: Revision | None = None
) -> OptionDecision:
    """Record that an option stays open on purpose, and until which revision where that is known."""
    if until is not None:
        check_belongs("until", until, revision.project_id)
        if until.pk in lineages(revision.project)[revision.pk]:
            message = f"revision {until} is not later than {revision}"
            raise InvalidInputError.of("until", message, given=until, allowed="a later revision, or none")
    return _store(OptionDecision(is_open=True, open_until=until), actor, revision, option, because)


def _store(
    decision: OptionDecision, actor: Actor, revision: Revision, option: Option, because: str
) -> OptionDecision:
    check_belongs("option", option, revision.project_id)
    decision.revision, decision.option = revision, option
    decision.because = because.strip()
    decision.recorded_at, decision.recorded_by = clock.now(), actor.user
    store_new(decision, actor=actor, project_id=revision.project_id)
    return decision


@transaction.atomic
def record_ordered_position(
    *,
    actor: Actor,
    revision: Revision,
    option: Option,
    position: OptionPosition | None,
    note: str = "",
) -> OrderedPosition:
    """Record the position a revision was ordered with; ``None`` means ordered not fitted."""
    check_belongs("option", option, revision.project_id)
    check_position(position, option)
    ordered = OrderedPosition(
        revision=revision,
        option=option,
        position=position,
        note=note,
        recorded_at=clock.now(),
        recorded_by=actor.user,
    )
    store_new(ordered, actor=actor, project_id=revision.project_id)
    return ordered
