"""``…/revisions/{label}/bill-of-materials/``: importing, reading, comparing, proposing changes."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.parameters import needed_text, whole_number
from api.parsers import DecimalJSONParser
from api.schema import PAGED, described, paged
from api.shapes import checked
from api.uploads import MULTIPART, PARSERS, fields_of, name_of
from api.v1.bill_shapes import (
    BillComparisonShown,
    BillFile,
    BillPreviewShown,
    BillRows,
    BillShown,
    PartShown,
    ProposedChangesShown,
)
from api.v1.changes import OfRevision
from logbook.common.errors import InvalidInputError
from logbook.core.parts_list import MAX_BYTES, ReadBill, group_designators
from logbook.projects.commands.bills import (
    BillSource,
    bill_read,
    bill_source,
    bill_source_of_rows,
    import_bill,
)
from logbook.projects.models import BillOfMaterials, Revision
from logbook.projects.queries import revision_named
from logbook.projects.queries.bills import (
    BillComparison,
    ProposedChange,
    bill_lines_of,
    bill_of,
    bills_of,
    compared_bills,
    proposed_changes_of,
)


class Bill(OfRevision):
    """The bill of materials of a revision."""

    parser_classes = [DecimalJSONParser, *PARSERS]

    @described("bill_of_materials_read", BillShown, parameters=("bill",))
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return the bill that stands, or an earlier import by its number."""
        refuse_unknown_parameters(request, ("bill",))
        return Response(BillShown(asked_bill(request, self.revision(slug, label))).data)

    @described(
        "bill_of_materials_import",
        BillShown,
        sends={MULTIPART: BillFile, "application/json": BillRows},
        status=201,
    )
    def post(self, request: Request, slug: str, label: str) -> Response:
        """Import a bill, which stands from now on; the same one again is kept once."""
        revision = self.revision(slug, label)
        source, columns = given_bill(request)
        bill = import_bill(actor=self.actor, revision=revision, source=source, columns=columns)
        return Response(BillShown(bill).data, status=201)


class BillPreview(OfRevision):
    """What an import would store."""

    parser_classes = [DecimalJSONParser, *PARSERS]

    @described(
        "bill_of_materials_preview",
        BillPreviewShown,
        sends={MULTIPART: BillFile, "application/json": BillRows},
    )
    def post(self, request: Request, slug: str, label: str) -> Response:
        """Return what each column was taken for and which rows would be refused. Stores nothing."""
        self.revision(slug, label)
        source, columns = given_bill(request)
        return Response(BillPreviewShown(_preview(source, bill_read(source, columns))).data)


def _preview(source: BillSource, read: ReadBill) -> dict[str, Any]:
    return {
        "encoding": source.table.encoding,
        "delimiter": source.table.delimiter,
        "header": source.table.header,
        "columns": dict(read.columns.names),
        "unused_columns": read.columns.unused,
        "part_count": len(read.parts),
        "refused": [asdict(one) for one in read.refused],
        "remarks": [asdict(one) for one in read.remarks],
    }


def given_bill(request: Request) -> tuple[BillSource, dict[str, str] | None]:
    """Return what was sent: a file with the columns confirmed, or rows."""
    if not (request.content_type or "").startswith(MULTIPART):
        return bill_source_of_rows(checked(BillRows, request.data)["rows"]), None
    given = checked(BillFile, fields_of(request))
    columns = _columns(given.get("columns", ""))
    # One byte more than is taken, so that the core says what is too large.
    return bill_source(given["file"].read(MAX_BYTES + 1), file_name=name_of(given["file"])), columns


def _columns(text: str) -> dict[str, str] | None:
    if not text:
        return None
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict) or not all(isinstance(name, str) for name in found.values()):
        raise InvalidInputError.of(
            "columns", "this is no JSON object of column names", given=text[:80],
            allowed='such as {"designators": "Ref", "value": "Value"}',
        )  # fmt: skip
    return found


def asked_bill(request: Request, revision: Revision) -> BillOfMaterials:
    """Return the bill the address asks for."""
    return bill_of(revision, whole_number(request, "bill"))


class BillList(OfRevision):
    """Every import of a revision."""

    @described("bills_of_materials_list", paged(BillShown), parameters=PAGED)
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return the imports in the order they were made; the last one stands."""
        refuse_unknown_parameters(request, PAGED)
        rows = bills_of(self.revision(slug, label))
        return Response(page_of(rows, request, key="id").shown(lambda row: BillShown(row).data))


class BillParts(OfRevision):
    """The parts of a bill."""

    @described("bill_of_materials_parts", paged(PartShown), parameters=(*PAGED, "bill"))
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return one row for each designator, as people count them."""
        refuse_unknown_parameters(request, (*PAGED, "bill"))
        rows = bill_lines_of(asked_bill(request, self.revision(slug, label)))
        return Response(page_of(rows, request, key="place").shown(lambda row: PartShown(row).data))


class BillComparisonView(OfRevision):
    """The bill of a revision against that of another."""

    @described("bill_of_materials_compare", BillComparisonShown, parameters=("with",))
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return in what the parts differ: added, removed, value, footprint, part, fit."""
        return Response(BillComparisonShown(compared(self, request, slug, label)[1]).data)


class ProposedChanges(OfRevision):
    """Changes proposed from two bills."""

    @described("bill_of_materials_proposed_changes", ProposedChangesShown, parameters=("with",))
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return one change for each subsystem; record those wanted through ``changes/``."""
        revision, comparison = compared(self, request, slug, label)
        found = [_proposed(one) for one in proposed_changes_of(revision, comparison)]
        return Response(ProposedChangesShown({"results": found}).data)


def compared(view: OfRevision, request: Request, slug: str, label: str) -> tuple[Revision, BillComparison]:
    """Return the revision and its comparison with the one the address names."""
    refuse_unknown_parameters(request, ("with",))
    revision = view.revision(slug, label)
    other = revision_named(revision.project, needed_text(request, "with"), field="with")
    return revision, compared_bills(revision, other)


def _proposed(one: ProposedChange) -> dict[str, Any]:
    proposal = one.proposal
    return {
        "key": one.key,
        "kind": proposal.kind,
        "what": proposal.what,
        "designators": proposal.designators,
        "subsystems": [proposal.subsystem] if proposal.subsystem else [],
        "named_by": [
            {"change": key, "designators": group_designators(names)} for key, names in one.named_by.items()
        ],
        "is_needed": one.is_needed,
    }
