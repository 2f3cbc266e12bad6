"""Importing bills of materials, assigning designators to subsystems, and recording proposed changes."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace

from django.db import transaction

from logbook.common import clock
from logbook.common.changes import Actor, note_change, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.core.errors import PartsListError
from logbook.core.parts_list import MEANINGS, ReadBill, Row, Table, Term, read_bill, read_rule, read_table
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.commands.changes import add_change
from logbook.projects.models import (
    BillLine,
    BillOfMaterials,
    Change,
    DesignatorRule,
    Project,
    Revision,
    Subsystem,
)
from logbook.projects.queries.bills import bills_of, designator_rules_of

SLICE = 500


@dataclass(frozen=True)
class BillSource:
    """Where a bill comes from: the table read, its name, and the checksum of what was sent."""

    table: Table
    file_name: str
    sha256: str


def bill_source(data: bytes, *, file_name: str = "") -> BillSource:
    """Return the table in a file."""
    try:
        return BillSource(read_table(data), file_name[-200:], hashlib.sha256(data).hexdigest())
    except PartsListError as error:
        raise _refused(error) from error


def bill_source_of_rows(rows: Sequence[Mapping[str, str]]) -> BillSource:
    """Return the table of rows given by meaning; the checksum is that of their JSON."""
    header = tuple(name for name in MEANINGS if any(name in row for row in rows))
    try:
        table = Table(
            "",
            "",
            header,
            tuple(
                Row(number, tuple(row.get(name, "").strip() for name in header))
                for number, row in enumerate(rows, start=1)
            ),
        )
    except PartsListError as error:
        raise _refused(error) from error
    text = json.dumps([dict(row) for row in rows], sort_keys=True, ensure_ascii=False)
    return BillSource(table, "", hashlib.sha256(text.encode()).hexdigest())


def bill_read(source: BillSource, columns: Mapping[str, str] | None = None) -> ReadBill:
    """Return what an import would store; ``columns`` confirms or corrects what the header was taken for."""
    try:
        return read_bill(source.table, columns or None)
    except PartsListError as error:
        raise _refused(error) from error


def _refused(error: PartsListError) -> InvalidInputError:
    return InvalidInputError.from_core(error.where or "file", error)


@transaction.atomic
def import_bill(
    *, actor: Actor, revision: Revision, source: BillSource, columns: Mapping[str, str] | None = None
) -> BillOfMaterials:
    """Store a bill of materials, which from now on stands; the same one as stands already is kept once."""
    read = bill_read(source, columns)
    if not read.parts:
        told = read.refused[0].says if read.refused else "there are no rows below the header"
        message = f"no row could be read: {told}"
        raise InvalidInputError.of("file", message, allowed="rows with designators")
    # Two imports at a time would both find the other one missing.
    Revision.objects.select_for_update(no_key=True).get(pk=revision.pk)
    names = dict(read.columns.names)
    standing = bills_of(revision).first()
    if standing is not None and (standing.sha256, standing.columns) == (source.sha256, names):
        return standing
    bill = BillOfMaterials(
        revision=revision,
        file_name=source.file_name,
        sha256=source.sha256,
        encoding=source.table.encoding,
        delimiter=source.table.delimiter,
        columns=names,
        unused_columns=list(read.columns.unused),
        refused=[asdict(one) for one in read.refused],
        remarks=[asdict(one) for one in read.remarks],
        part_count=len(read.parts),
        imported_at=clock.now(),
        imported_by=actor.user,
    )
    store_new(bill, actor=actor, project_id=revision.project_id)
    BillLine.objects.bulk_create(_lines(bill, read), batch_size=SLICE)
    return bill


def _lines(bill: BillOfMaterials, read: ReadBill) -> list[BillLine]:
    return [
        BillLine(
            bill=bill,
            designator=str(part.designator),
            place=part.designator.place,
            value=part.value,
            footprint=part.footprint,
            part_number=part.part_number,
            maker=part.maker,
            description=part.description,
            is_fitted=part.is_fitted,
            line=part.line,
        )
        for part in read.parts
    ]


@transaction.atomic
def add_designator_rule(*, actor: Actor, project: Project, subsystem: Subsystem, rule: str) -> DesignatorRule:
    """Assign designators to a subsystem: ``R12`` one, ``U1-U4`` a range, ``L*`` a whole class.

    A designator wins over a range, a range over a whole class; equally firm ones may not overlap.
    """
    check_belongs("subsystem", subsystem, project.pk)
    # Two rules at a time could overlap each other.
    Project.objects.select_for_update(no_key=True).get(pk=project.pk)
    terms = _terms(rule)
    for other in designator_rules_of(project):
        _refuse_collision(terms, other)
    kept = DesignatorRule(project=project, subsystem=subsystem, rule=", ".join(term.text for term in terms))
    store_new(kept, actor=actor)
    return kept


def _terms(rule: str) -> tuple[Term, ...]:
    try:
        return read_rule(rule, where="rule")
    except PartsListError as error:
        raise InvalidInputError.from_core("rule", error) from error


def _refuse_collision(terms: Sequence[Term], other: DesignatorRule) -> None:
    for old in read_rule(other.rule):
        for term in terms:
            if term.collides(old):
                message = f"{term.text} already belongs to {other.subsystem} by the rule {other.rule[:60]}"
                raise InvalidInputError.of(
                    "rule", message, given=term.text, allowed="a firmer term, or remove that rule first"
                )


@transaction.atomic
def remove_designator_rule(*, actor: Actor, rule: DesignatorRule) -> None:
    """Remove a rule; recorded changes keep the subsystems they name."""
    fields = {"rule": [f"{rule.rule} → {rule.subsystem}", ""]}
    note_change(rule, action="removed", actor=actor, project_id=rule.project_id, fields=fields)
    deleted, _ = DesignatorRule.objects.filter(pk=rule.pk).delete()
    if not deleted:
        message = f"the rule {rule} was removed by somebody else"
        raise ConflictError(message)


@dataclass(frozen=True)
class PickedChange:
    """A proposed change a person picked, as they worded it."""

    key: str
    kind: str
    what: str
    designators: str
    subsystems: tuple[Subsystem, ...]
    why: str = ""


@transaction.atomic
def record_proposed_changes(
    *, actor: Actor, revision: Revision, picked: Sequence[PickedChange]
) -> list[Change]:
    """Record the picked changes, all or none; a problem names its place in the list."""
    if not picked:
        raise InvalidInputError.of("changes", "nothing is picked", allowed="at least one proposed change")
    recorded = []
    for place, one in enumerate(picked):
        try:
            change = add_change(
                actor=actor,
                revision=revision,
                key=one.key,
                kind=one.kind,
                what=one.what,
                subsystems=one.subsystems,
                values={"designators": one.designators, "why": one.why},
            )
        except InvalidInputError as error:
            problems = [replace(one, field=f"changes.{place}.{one.field}") for one in error.problems]
            raise InvalidInputError(error.message, problems=problems) from error
        recorded.append(change)
    return recorded
