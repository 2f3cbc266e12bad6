"""Instruments, their ranges and their calibrations."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from logbook.bench.commands.current import recompute
from logbook.bench.models import Calibration, Instrument, InstrumentRange, Measurement
from logbook.bench.queries.evaluation import Cell
from logbook.bench.translate import accuracy_of
from logbook.boards.models import Board
from logbook.common import clock
from logbook.common.changes import Actor, note_change, store_changes, store_new
from logbook.common.errors import InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.quantities import canonical_text, convert, parse_quantity, unit_named
from logbook.projects.models import Project

ACCURACY = ("percent_of_reading", "percent_of_range", "counts")


@transaction.atomic
def add_instrument(
    *,
    actor: Actor,
    name: str,
    kind: str,
    serial: str = "",
    note: str = "",
    ranges: Sequence[dict[str, str]] = (),
) -> Instrument:
    """Add an instrument with what its ranges state."""
    instrument = Instrument(name=name, kind=kind, serial=serial, note=note)
    store_new(instrument, actor=actor)
    if ranges:
        set_ranges(actor=actor, instrument=instrument, ranges=ranges)
    return instrument


@transaction.atomic
def change_instrument(
    *,
    actor: Actor,
    instrument: Instrument,
    values: dict[str, Any],
    ranges: Sequence[dict[str, str]] | None = None,
) -> Instrument:
    """Change descriptive fields of an instrument; ``ranges`` replaces all of them."""
    store_changes(instrument, values, actor=actor)
    if ranges is not None:
        set_ranges(actor=actor, instrument=instrument, ranges=ranges)
    return instrument


@transaction.atomic
def set_ranges(
    *, actor: Actor, instrument: Instrument, ranges: Sequence[dict[str, str]]
) -> list[InstrumentRange]:
    """Replace what an instrument states about its ranges. Readings keep the uncertainty they got."""
    built = [_checked_range(instrument, values, place) for place, values in enumerate(ranges)]
    before = ", ".join(instrument.ranges.values_list("name", flat=True))
    instrument.ranges.all().delete()
    for one in built:
        store_new(one, actor=actor)
    fields = {"ranges": [before, ", ".join(one.name for one in built)]}
    note_change(instrument, action="changed", actor=actor, project_id=None, fields=fields)
    return built


def _checked_range(instrument: Instrument, values: dict[str, str], place: int) -> InstrumentRange:
    """Read the numbers of one range; ``full_scale`` and ``resolution`` may carry their unit.

    A problem is reported at ``ranges.<place>.<field>``, counted from 0.
    """
    try:
        unit = unit_named(values.get("unit", ""))
        texts = {
            name: canonical_text(convert(quantity.value, quantity.unit, unit))
            for name in ("full_scale", "resolution")
            if values.get(name)
            for quantity in [parse_quantity(values[name], unit=unit, where=name)]
        }
        texts |= {
            name: canonical_text(parse_quantity(values[name], unit="", where=name).value)
            for name in ACCURACY
            if values.get(name)
        }
        row = InstrumentRange(
            instrument=instrument,
            name=values.get("name", ""),
            unit=unit.symbol,
            conditions=values.get("conditions", ""),
            **texts,
        )
        accuracy_of(row, unit)
    except CoreError as error:
        field = f"ranges.{place}.{error.where}".rstrip(".")
        raise InvalidInputError.from_core(field, error) from error
    return row


@transaction.atomic
def record_calibration(
    *,
    actor: Actor,
    instrument: Instrument,
    number: str,
    on: date,
    result: str,
    next_due: date,
    note: str = "",
) -> Calibration:
    """Record a calibration and return it. Append-only: a later one clears or condemns what came before."""
    # All of them: a reading with this instrument may be on its way to any board.
    list(Board.objects.select_for_update().order_by("pk").values_list("pk"))
    moment = clock.now()
    if on > timezone.localdate(moment):
        raise InvalidInputError.of("on", "this day lies in the future", given=on)
    calibration = Calibration(
        instrument=instrument,
        number=number,
        on=on,
        result=result,
        next_due=next_due,
        note=note,
        recorded_at=moment,
        recorded_by=actor.user,
    )
    store_new(calibration, actor=actor)
    _derive_anew(instrument)
    return calibration


def _derive_anew(instrument: Instrument) -> None:
    """Derive every cell this instrument has a reading in: some may count differently now."""
    rows = Measurement.objects.filter(instrument=instrument, target__isnull=False, withdrawn_at__isnull=True)
    cells: dict[int, set[Cell]] = defaultdict(set)
    places = rows.order_by().values_list("project_id", "target_id", "board_id", "point").distinct()
    for project_id, target_id, board_id, point in places:
        cells[project_id].add(Cell(target_id or 0, board_id, point))
    for project in Project.objects.filter(pk__in=cells):
        recompute(project, cells=cells[project.pk])
