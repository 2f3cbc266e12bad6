"""Putting files behind readings and sittings."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from django.db import transaction

from logbook.bench.commands.digits import issue_in_force, with_digits
from logbook.bench.commands.reading import ReadingInput, Recorded
from logbook.bench.commands.recording import record_reading
from logbook.bench.models import BenchSession, Measurement, TargetIssue
from logbook.bench.models.evidence import MeasurementEvidence, SessionEvidence
from logbook.bench.queries.evidence import units_said
from logbook.common.changes import Actor, note_change, store_new
from logbook.common.errors import InvalidInputError
from logbook.core.quantities import unit_named
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.queries import FoundNumber, number_found


@transaction.atomic
def attach_to_measurement(
    *,
    actor: Actor,
    measurement: Measurement,
    evidence: Evidence,
    analysis: Analysis | None = None,
    number: str = "",
) -> MeasurementEvidence:
    """Put a file behind a reading; ``number`` is the one of the analysis that became the reading."""
    _check_project(measurement.project_id, evidence)
    if analysis is not None and analysis.evidence_id != evidence.pk:
        raise InvalidInputError.of("analysis", "this analysis is of another file", given=analysis.pk)
    link = MeasurementEvidence.objects.filter(measurement=measurement, evidence=evidence).first()
    if link is None:
        link = MeasurementEvidence(
            measurement=measurement, evidence=evidence, analysis=analysis, number=number
        )
        store_new(link, actor=actor, project_id=measurement.project_id)
    return link


@transaction.atomic
def attach_to_session(*, actor: Actor, session: BenchSession, evidence: Evidence) -> SessionEvidence:
    """Put a file with a sitting at the bench."""
    _check_project(session.project_id, evidence)
    link, is_new = SessionEvidence.objects.get_or_create(bench_session=session, evidence=evidence)
    if is_new:
        note_change(link, action="added", actor=actor, project_id=session.project_id, fields={})
    return link


@transaction.atomic
def record_from_analysis(*, actor: Actor, analysis: Analysis, number: str, item: ReadingInput) -> Recorded:
    """Record a number of an analysis as a reading, with the capture as its evidence.

    The value comes from the analysis, whatever ``item`` carries, in the unit of the target and with the
    digits it deserves; the analysis keeps it exactly. The same number of the same analysis for the same
    cell is recorded once.
    """
    evidence = analysis.evidence
    found = number_found(analysis, number)
    cell = f"{item.board}:{item.target}:{item.point}"
    key = item.key or f"capture {analysis.pk} {number} {cell}"[:80]
    taken_at = item.taken_at or evidence.taken_at or evidence.recorded_at
    issue = issue_in_force(actor, item)
    unit = _unit_for(found, item.unit, issue)
    item = replace(item, unit=unit, taken_at=taken_at, key=key)
    exact = Decimal(str(found.value))
    if isinstance(found.value, int):
        item = replace(item, value=str(exact))
    else:
        item = with_digits(actor, item, exact, issue.unit if issue is not None else unit)
    recorded = record_reading(actor=actor, item=item)
    if recorded.measurement is not None:
        attach_to_measurement(
            actor=actor,
            measurement=recorded.measurement,
            evidence=evidence,
            analysis=analysis,
            number=number,
        )
    return recorded


def _unit_for(found: FoundNumber, given: str, issue: TargetIssue | None) -> str:
    """Return the unit of a number, said the way its target says it: V rms where the target asks for that.

    A trace of which the file names no unit takes the one that was given.
    """
    unit = found.unit or given
    wanted = unit_named(issue.unit).base if issue is not None else unit
    return wanted if wanted in units_said(found.name, unit) else unit


def _check_project(project_id: int, evidence: Evidence) -> None:
    if evidence.project_id != project_id:
        raise InvalidInputError.of("evidence", "this file belongs to another project", given=evidence.pk)
