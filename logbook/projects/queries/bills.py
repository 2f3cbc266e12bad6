"""Reading bills of materials, comparing those of two revisions, and what they say of subsystems."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.core.errors import PartsListError
from logbook.core.parts_list import (
    Designator,
    Difference,
    Kind,
    Part,
    Proposal,
    assign_designators,
    compare_bills,
    propose_changes,
    read_designator,
    read_rule,
    spread_designators,
)
from logbook.projects.models import BillLine, BillOfMaterials, DesignatorRule, Project, Revision
from logbook.projects.queries.changes import changes_of

# Columns without which a bill says nothing in this respect.
NEEDED = {
    Kind.VALUE: ("value",),
    Kind.FOOTPRINT: ("footprint",),
    Kind.PART: ("part_number",),
}


def bills_of(revision: Revision) -> QuerySet[BillOfMaterials]:
    """Return the imports of a revision, the one that stands first. One query."""
    return (
        BillOfMaterials.objects.filter(revision=revision)
        .select_related("revision", "imported_by")
        .order_by("-id")
    )


def bill_of(revision: Revision, number: int | None = None) -> BillOfMaterials:
    """Return the bill that stands, or an earlier import by its number. One query."""
    bills = bills_of(revision)
    found = (bills if number is None else bills.filter(pk=number)).first()
    if found is None:
        which = "no bill of materials" if number is None else f"no bill of materials {number}"
        message = f"revision {revision} has {which}"
        raise NotFoundError(message)
    return found


def bill_lines_of(bill: BillOfMaterials) -> QuerySet[BillLine]:
    """Return the parts as people count them. One query."""
    return BillLine.objects.filter(bill=bill).order_by("place")


def parts_of(lines: Iterable[BillLine]) -> list[Part]:
    """Return the lines as the values that are compared."""
    return [
        Part(
            read_designator(one.designator),
            value=one.value,
            footprint=one.footprint,
            part_number=one.part_number,
            maker=one.maker,
            description=one.description,
            is_fitted=one.is_fitted,
            line=one.line,
        )
        for one in lines
    ]


def designator_rules_of(project: Project) -> QuerySet[DesignatorRule]:
    """Return which designators belong to which subsystem. One query."""
    return (
        DesignatorRule.objects.filter(project=project)
        .select_related("subsystem")
        .order_by("subsystem__position", "subsystem__key", "id")
    )


def designator_rule_of(project: Project, number: int) -> DesignatorRule:
    """Return the rule with this number."""
    found = designator_rules_of(project).filter(pk=number).first()
    if found is None:
        message = f"{project} has no designator rule {number}"
        raise NotFoundError(message)
    return found


def subsystems_of_designators(
    project: Project, designators: Iterable[Designator]
) -> Mapping[Designator, str]:
    """Return the key of the subsystem of each designator a rule means. One query."""
    rules = [(one.subsystem.key, read_rule(one.rule)) for one in designator_rules_of(project)]
    return assign_designators(designators, rules)


@dataclass(frozen=True)
class BillComparison:
    """What two bills differ in; ``not_compared`` names what one of them says nothing about."""

    before: BillOfMaterials
    after: BillOfMaterials
    differences: tuple[Difference, ...]
    subsystems: Mapping[Designator, str]
    not_compared: tuple[str, ...]


def compared_bills(revision: Revision, other: Revision) -> BillComparison:
    """Return in what the bill of ``revision`` differs from that of ``other``. Five queries."""
    if revision.project_id != other.project_id:
        message = "bills of materials are compared within one project"
        raise InvalidInputError.of("with", message, given=other.label)
    before, after = bill_of(other), bill_of(revision)
    missing = tuple(
        str(kind)
        for kind, columns in NEEDED.items()
        if any(column not in bill.columns for column in columns for bill in (before, after))
    )
    differences = compare_bills(
        parts_of(bill_lines_of(before)),
        parts_of(bill_lines_of(after)),
        respects=[kind for kind in Kind if kind not in missing],
    )
    owned = subsystems_of_designators(revision.project, {one.designator for one in differences})
    return BillComparison(before, after, differences, owned, missing)


@dataclass(frozen=True)
class ProposedChange:
    """A change proposed from two bills; ``named_by`` are standing changes that name parts of it already.

    Parts named already are left out of the proposal; where all are named, it holds them and is not needed.
    """

    key: str
    proposal: Proposal
    named_by: Mapping[str, Sequence[Designator]]
    is_needed: bool


def proposed_changes_of(revision: Revision, comparison: BillComparison) -> tuple[ProposedChange, ...]:
    """Return one proposed change for each subsystem, the one of no subsystem last. Two queries.

    It holds the parts that no standing change names yet.
    """
    changes = list(changes_of(revision))
    named = {change.key: _named_in(change.designators) for change in changes}
    everything = propose_changes(comparison.differences, comparison.subsystems)
    names = frozenset[Designator]().union(*named.values())
    unnamed = [one for one in comparison.differences if one.designator not in names]
    left = {one.subsystem: one for one in propose_changes(unnamed, comparison.subsystems)}
    found = []
    for proposal in everything:
        own = {one.designator for one in proposal.differences}
        overlap = {key: sorted(own & theirs) for key, theirs in named.items() if own & theirs}
        key, subsystem = _free_key(proposal.subsystem, named), proposal.subsystem
        found.append(ProposedChange(key, left.get(subsystem, proposal), overlap, subsystem in left))
    return tuple(found)


def _named_in(text: str) -> frozenset[Designator]:
    """Return the designators a change names; its field is free text, so what is none counts for nothing."""
    try:
        return frozenset(spread_designators(text))
    except PartsListError:
        return frozenset()


def _free_key(subsystem: str, taken: Iterable[str]) -> str:
    base = f"BOM-{subsystem or 'other'}"[:26]
    keys = set(taken)
    return next(key for key in (base, *(f"{base}-{n}" for n in range(2, len(keys) + 3))) if key not in keys)
