"""Withdrawing a reading, which is never undone."""

from __future__ import annotations

from django.db import transaction

from logbook.bench.commands.current import cell_of, recompute
from logbook.bench.models import Measurement
from logbook.bench.queries.evaluation import Pair
from logbook.boards.models import Board
from logbook.common import clock
from logbook.common.changes import Actor, note_change
from logbook.common.errors import ConflictError, InvalidInputError


@transaction.atomic
def withdraw_measurement(*, actor: Actor, measurement: Measurement, because: str) -> Measurement:
    """Withdraw a reading with a reason; it stays readable and its cell is derived anew."""
    because = because.strip()
    if not because or len(because) > 300:
        raise InvalidInputError.of(
            "because", "say why the reading is withdrawn", given=because, allowed="1 to 300 characters"
        )
    list(Board.objects.select_for_update().filter(pk=measurement.board_id).values_list("pk"))
    withdrawn = Measurement.objects.filter(pk=measurement.pk, withdrawn_at__isnull=True).update(
        withdrawn_at=clock.now(), withdrawn_by=actor.user, withdrawn_because=because
    )
    measurement.refresh_from_db(fields=["withdrawn_at", "withdrawn_by", "withdrawn_because"])
    if not withdrawn:
        message = f"this reading was already withdrawn on {measurement.withdrawn_at:%Y-%m-%d %H:%M}"
        raise ConflictError(message)
    fields = {"withdrawn": ["", because]}
    note_change(
        measurement, action="withdrawn", actor=actor, project_id=measurement.project_id, fields=fields
    )
    if measurement.target_id is not None:
        pair = Pair(measurement.board_id, measurement.target_id)
        recompute(measurement.project, cells=[cell_of(measurement)], pairs=[pair])
    return measurement
