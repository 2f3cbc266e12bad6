"""Builds one measurement from what was given, resolved and judged, but not yet stored."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, NamedTuple

from logbook.bench.choices import Outcome
from logbook.bench.commands.catalogue import Catalogue, check_point
from logbook.bench.commands.reading import ReadingInput
from logbook.bench.commands.repeats import read_repeated
from logbook.bench.commands.storable import check_fits, plain_conditions
from logbook.bench.commands.stored import FreshReading
from logbook.bench.commands.values import (
    ReadValue,
    read_coverage_factor,
    read_uncertainty,
)
from logbook.bench.models import BenchSession, Instrument, InstrumentRange, Measurement, TargetIssue
from logbook.bench.translate import base_unit_of, decimal_kept, evaluation_of_reading, judgement_of_read
from logbook.common.changes import Actor
from logbook.common.errors import InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.quantities import Unit, canonical_text, convert, unit_named

FUTURE_ALLOWED = timedelta(minutes=5)
_BLANK = {
    field.attname: field.get_default()
    for field in Measurement._meta.concrete_fields
    if not (field.has_default() and callable(field.default))
}


class Stated(NamedTuple):
    """The uncertainty of a reading and where it comes from."""

    expanded: Decimal | None = None
    factor: Decimal | None = None
    degrees_of_freedom: float | None = None
    source: str = ""
    range: InstrumentRange | None = None


def build_reading(
    item: ReadingInput, catalogue: Catalogue, *, actor: Actor, moment: datetime, key: str, digest: str
) -> FreshReading:
    """Return the judged reading, not stored yet.

    Raises
    ------
    DomainError
        Naming the field, what was given and what is allowed.
    """
    resolved = catalogue.resolve(item, actor.user)
    check_point(item, resolved.issue)
    read, repeats = read_repeated(item, resolved.issue)
    stated = _uncertainty(item, read, repeats, resolved.instrument)
    columns: dict[str, Any] = {
        **_BLANK,
        **resolved.ids,
        "recorded_at": moment,
        "via": actor.via,
        "key": key,
        "content_digest": digest,
        "repeats": [canonical_text(value) for value in repeats] if repeats else [],
        **_given(item, resolved.bench_session, moment),
        **_value_fields(read),
    }
    if stated.expanded is not None and stated.factor is not None:
        columns |= _uncertainty_fields(stated, stated.expanded, stated.factor, read)
    columns |= _verdict_fields(resolved.issue, read, columns)
    check_fits(columns)
    return FreshReading(columns, resolved, stated.range)


def _given(item: ReadingInput, session: BenchSession | None, moment: datetime) -> dict[str, object]:
    """Return the fields kept as given; a session's firmware and ambient are inherited."""
    taken_at = item.taken_at or moment
    if taken_at > moment + FUTURE_ALLOWED:
        allowed = f"up to {moment + FUTURE_ALLOWED:%Y-%m-%dT%H:%M:%SZ}"
        raise InvalidInputError.of("taken_at", "this lies in the future", given=taken_at, allowed=allowed)
    conditions = plain_conditions(item.conditions) if item.conditions else {}
    firmware = item.firmware
    if session is not None:
        firmware = firmware or session.firmware
        if session.ambient_c is not None:
            conditions.setdefault("ambient_c", session.ambient_c)
    return {
        "point": item.point,
        "place": item.place,
        "taken_at": taken_at,
        "firmware": firmware,
        "conditions": conditions,
        "note": item.note,
    }


def _value_fields(read: ReadValue) -> dict[str, object]:
    fields: dict[str, object] = {
        "outcome": str(read.outcome),
        "text": read.text,
        "trials": read.trials,
        "unit": read.unit.symbol,
    }
    if read.value is not None:
        fields["value"] = canonical_text(read.value)
        fields["value_base"] = float(convert(read.value, read.unit, base_unit_of(read.unit)))
    return fields


def _uncertainty(
    item: ReadingInput, read: ReadValue, repeats: Sequence[Decimal], instrument: Instrument | None
) -> Stated:
    """Return the uncertainty as stated, otherwise from the instrument's accuracy and the repeats."""
    if read.outcome != Outcome.NUMBER or read.value is None:
        return Stated()
    if item.expanded_uncertainty is not None and item.expanded_uncertainty != "":
        expanded = read_uncertainty(item.expanded_uncertainty, read.unit, read.value)
        return Stated(expanded, read_coverage_factor(item.coverage_factor), None, "stated")
    largest = max(map(abs, (read.value, *repeats)))
    chosen = _range_for(item, read.unit, largest, instrument)
    try:
        result = evaluation_of_reading(read.value, read.unit, repeats=repeats, instrument_range=chosen)
    except CoreError as error:
        raise InvalidInputError.from_core("instrument_range", error) from error
    if result is None:
        return Stated()
    factor = Decimal(str(round(result.coverage_factor, 6)))
    degrees = result.effective_degrees_of_freedom
    source = "instrument" if chosen else "repeats"
    return Stated(result.expanded_uncertainty, factor, degrees, source, chosen)


def _range_for(
    item: ReadingInput, unit: Unit, largest: Decimal, instrument: Instrument | None
) -> InstrumentRange | None:
    """Return the named range, or the smallest that holds the largest value; none where none does."""
    if instrument is None:
        if item.instrument_range:
            raise InvalidInputError.of(
                "instrument_range", "name the instrument too", given=item.instrument_range
            )
        return None
    fitting = [row for row in instrument.ranges.all() if unit_named(row.unit).base == unit.base]
    if item.instrument_range:
        named = next((row for row in fitting if row.name == item.instrument_range), None)
        if named is None:
            allowed = ", ".join(row.name for row in fitting) or "none in this unit"
            message = f"{instrument} has no range {item.instrument_range!r} for {unit.name}"
            raise InvalidInputError.of(
                "instrument_range", message, given=item.instrument_range, allowed=allowed
            )
        return named
    scales = {row.pk: convert(Decimal(row.full_scale), unit_named(row.unit), unit) for row in fitting}
    holding = [row for row in fitting if scales[row.pk] >= largest]
    return min(holding, key=lambda row: scales[row.pk], default=None)


def _uncertainty_fields(
    stated: Stated, expanded: Decimal, factor: Decimal, read: ReadValue
) -> dict[str, object]:
    base = convert(expanded, read.unit, base_unit_of(read.unit))
    return {
        "instrument_range_id": stated.range.pk if stated.range else None,
        "expanded_uncertainty": canonical_text(expanded),
        "coverage_factor": canonical_text(factor),
        "degrees_of_freedom": stated.degrees_of_freedom,
        "uncertainty_base": float(base / factor),
        "uncertainty_from": stated.source,
    }


def _verdict_fields(
    issue: TargetIssue | None, read: ReadValue, columns: Mapping[str, Any]
) -> dict[str, object]:
    """Judge the reading by the digits that are kept, so that it is judged the same whenever it is again."""
    if issue is None:
        return {"reason": "not attached to a target yet"}
    try:
        judgement = judgement_of_read(
            issue,
            outcome=read.outcome,
            value=decimal_kept(columns["value"]),
            trials=read.trials,
            unit=read.unit,
            stated=(
                decimal_kept(columns["expanded_uncertainty"]),
                decimal_kept(columns["coverage_factor"]),
                columns["degrees_of_freedom"],
            ),
        )
    except CoreError as error:
        raise InvalidInputError.from_core(error.where or "value", error) from error
    return {
        "verdict": judgement.verdict.value if judgement.verdict else "",
        "rule": judgement.rule,
        "reason": judgement.reason[:300],
        "conformance_probability": judgement.conformance_probability,
        "margin": "" if judgement.margin is None else canonical_text(judgement.margin),
        "margin_percent": judgement.margin_percent,
        "test_uncertainty_ratio": judgement.test_uncertainty_ratio,
        "undecidable": not judgement.decidable,
    }
