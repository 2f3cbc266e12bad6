"""Builds one measurement from what was given, resolved and judged, but not yet stored."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from logbook.bench.choices import Outcome
from logbook.bench.commands.catalogue import Catalogue
from logbook.bench.commands.identity import content_digest_of, key_of
from logbook.bench.commands.reading import ReadingInput
from logbook.bench.commands.repeats import read_repeated
from logbook.bench.commands.storable import check_fits, plain_conditions
from logbook.bench.commands.values import (
    ReadValue,
    read_coverage_factor,
    read_uncertainty,
)
from logbook.bench.models import BenchSession, Instrument, InstrumentRange, Measurement, Target, TargetIssue
from logbook.bench.translate import evaluation_of_reading, judgement_of
from logbook.boards.models import Board
from logbook.common.bulk import unsaved
from logbook.common.changes import Actor
from logbook.common.errors import InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.quantities import Unit, canonical_text, convert, unit_named
from logbook.projects.models import Project

FUTURE_ALLOWED = timedelta(minutes=5)


@dataclass(frozen=True)
class Stated:
    """The uncertainty of a reading and where it comes from."""

    expanded: Decimal | None = None
    factor: Decimal | None = None
    degrees_of_freedom: float | None = None
    source: str = ""
    range: InstrumentRange | None = None


def build_measurement(
    item: ReadingInput, catalogue: Catalogue, *, actor: Actor, moment: datetime, identity_required: bool
) -> Measurement:
    """Return the judged, unsaved measurement.

    Raises
    ------
    DomainError
        Naming the field, what was given and what is allowed.
    """
    project = catalogue.project(item.project)
    board = catalogue.board(project, item.board)
    target = catalogue.target(project, item.target) if item.target else None
    issue = _issue_for(catalogue, project, target, board)
    _check_point(item, issue)
    session = catalogue.session(project, item.bench_session)
    instrument = catalogue.instrument(item.instrument)
    read, repeats = read_repeated(item, issue)
    stated = _uncertainty(item, read, repeats, instrument)
    measurement = unsaved(
        Measurement,
        project=project,
        board=board,
        target=target,
        issue=issue,
        recorded_at=moment,
        recorded_by=actor.user,
        via=actor.via,
        instrument=instrument,
        instrument_range=stated.range,
        bench_session=session,
        withdrawn_by=None,
        key=key_of(item, identity_required=identity_required),
        content_digest=content_digest_of(item),
        **_given(item, session, moment),
        **_value_fields(read),
        repeats=[canonical_text(value) for value in repeats],
        **_uncertainty_fields(stated, read),
    )
    judged = _judged(measurement)
    check_fits(judged)
    return judged


def _issue_for(
    catalogue: Catalogue, project: Project, target: Target | None, board: Board
) -> TargetIssue | None:
    if target is None:
        return None
    issue = catalogue.yardsticks[project.pk].in_force(target.pk, board.revision_id)
    if issue is None:
        message = f"{target.key} has no issue meant for the revision of board {board.serial}"
        raise InvalidInputError.of("target", message, given=target.key)
    return issue


def _check_point(item: ReadingInput, issue: TargetIssue | None) -> None:
    if issue is None:
        if not item.place and not item.note:
            message = "a reading without a target says where it was taken: give a place or a note"
            raise InvalidInputError.of("target", message, allowed="a target, a place or a note")
        if item.point:
            raise InvalidInputError.of("point", "only a target has points", given=item.point)
        return
    if item.point not in issue.points:
        allowed = ", ".join(point or "(none)" for point in issue.points)
        raise InvalidInputError.of(
            "point", f"{item.target} has no point {item.point!r}", given=item.point, allowed=allowed
        )


def _given(item: ReadingInput, session: BenchSession | None, moment: datetime) -> dict[str, object]:
    """Return the fields kept as given; a session's firmware and ambient are inherited."""
    taken_at = item.taken_at or moment
    if taken_at > moment + FUTURE_ALLOWED:
        allowed = f"up to {moment + FUTURE_ALLOWED:%Y-%m-%dT%H:%M:%SZ}"
        raise InvalidInputError.of("taken_at", "this lies in the future", given=taken_at, allowed=allowed)
    conditions = plain_conditions(item.conditions)
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
        fields["value_base"] = float(convert(read.value, read.unit, unit_named(read.unit.base)))
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


def _uncertainty_fields(stated: Stated, read: ReadValue) -> dict[str, object]:
    if stated.expanded is None or stated.factor is None:
        return {}
    base = convert(stated.expanded, read.unit, unit_named(read.unit.base))
    return {
        "expanded_uncertainty": canonical_text(stated.expanded),
        "coverage_factor": canonical_text(stated.factor),
        "degrees_of_freedom": stated.degrees_of_freedom,
        "uncertainty_base": float(base / stated.factor),
        "uncertainty_from": stated.source,
    }


def _judged(measurement: Measurement) -> Measurement:
    if measurement.issue is None:
        measurement.reason = "not attached to a target yet"
        return measurement
    try:
        judgement = judgement_of(measurement.issue, measurement)
    except CoreError as error:
        raise InvalidInputError.from_core(error.where or "value", error) from error
    measurement.verdict = judgement.verdict.value if judgement.verdict else ""
    measurement.rule = judgement.rule
    measurement.reason = judgement.reason[:300]
    measurement.conformance_probability = judgement.conformance_probability
    measurement.margin = "" if judgement.margin is None else canonical_text(judgement.margin)
    measurement.margin_percent = judgement.margin_percent
    measurement.test_uncertainty_ratio = judgement.test_uncertainty_ratio
    measurement.undecidable = not judgement.decidable
    return measurement
