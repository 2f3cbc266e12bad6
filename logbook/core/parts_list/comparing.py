"""What two bills of materials differ in, part by part."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from logbook.core.errors import PartsListError
from logbook.core.parts_list.designators import Designator, group_designators
from logbook.core.parts_list.reading import Part
from logbook.core.parts_list.values import text_meaning, value_meaning


class Kind(StrEnum):
    """In what a part differs."""

    ADDED = "added"
    REMOVED = "removed"
    VALUE = "value"
    FOOTPRINT = "footprint"
    PART = "part"
    FIT = "fit"


@dataclass(frozen=True, slots=True)
class Difference:
    """One part differs in one respect.

    Parameters
    ----------
    designator : Designator
        Which part.
    kind : Kind
        In what.
    before, after : str
        What each bill says; empty where the part is not there.
    """

    designator: Designator
    kind: Kind
    before: str
    after: str

    def __post_init__(self) -> None:
        if self.before == self.after:
            raise PartsListError("A difference has two sides.", given=self.before)


def compare_bills(
    before: Iterable[Part], after: Iterable[Part], *, respects: Iterable[str] = tuple(Kind)
) -> tuple[Difference, ...]:
    """Compare two bills of materials.

    Parameters
    ----------
    before, after : iterable of Part
        Each designator once.
    respects : iterable of str
        Kinds to look at; a bill without a footprint column says nothing about footprints.

    Returns
    -------
    tuple of Difference
        By designator as people count (R2 before R10); a part may differ in several respects. Values are
        compared by meaning, names without regard to case and spaces; the description is not compared.

    Examples
    --------
    >>> from logbook.core.parts_list import read_designator
    >>> c11 = read_designator("C11")
    >>> found = compare_bills([Part(c11, "18 pF")], [Part(c11, "10p")])
    >>> [(str(one.designator), str(one.kind)) for one in found]
    [('C11', 'value')]
    """
    wanted = set(respects)
    old = {part.designator: part for part in before}
    new = {part.designator: part for part in after}
    found: list[Difference] = []
    for designator in sorted(old.keys() | new.keys()):
        found += _differences(designator, old.get(designator), new.get(designator))
    return tuple(one for one in found if one.kind in wanted)


def _differences(designator: Designator, old: Part | None, new: Part | None) -> list[Difference]:
    if old is None and new is not None:
        return [Difference(designator, Kind.ADDED, "", _shown(new))]
    if new is None and old is not None:
        return [Difference(designator, Kind.REMOVED, _shown(old), "")]
    assert old is not None and new is not None  # noqa: S101, PT018 - tells the type checker
    sides = {
        Kind.VALUE: (old.value, new.value),
        Kind.FOOTPRINT: (old.footprint, new.footprint),
        Kind.PART: (_part(old), _part(new)),
        Kind.FIT: (_fit(old), _fit(new)),
    }
    return [
        Difference(designator, kind, before or "nothing stated", after or "nothing stated")
        for kind, (before, after) in sides.items()
        if not _is_same(kind, before, after, designator.letters)
    ]


def _is_same(kind: Kind, before: str, after: str, letters: str) -> bool:
    if kind == Kind.VALUE:
        return before == after or value_meaning(before, letters) == value_meaning(after, letters)
    return text_meaning(before) == text_meaning(after)


def _part(part: Part) -> str:
    return " ".join(text for text in (part.maker, part.part_number) if text)


def _fit(part: Part) -> str:
    return "fitted" if part.is_fitted else "not fitted"


def _shown(part: Part) -> str:
    texts = [part.value, part.footprint, _part(part)]
    return (
        ", ".join([text for text in texts if text] + ([] if part.is_fitted else ["not fitted"])) or "a part"
    )


@dataclass(frozen=True, slots=True)
class Proposal:
    """A change proposed from differences: those of one subsystem, or of none known.

    Parameters
    ----------
    subsystem : str
        Key; empty where no rule assigns these designators.
    kind : str
        schematic where parts came or went, else layout where a footprint changed, else BOM.
    what : str
        Says what differs.
    designators : str
        Grouped.
    differences : tuple of Difference
        What it is made from.
    """

    subsystem: str
    kind: str
    what: str
    designators: str
    differences: tuple[Difference, ...]

    def __post_init__(self) -> None:
        if not self.differences:
            raise PartsListError("A proposed change has a difference.", given=self.subsystem)


def propose_changes(
    differences: Iterable[Difference], subsystems: Mapping[Designator, str]
) -> tuple[Proposal, ...]:
    """Propose one change for each subsystem the differences belong to.

    Parameters
    ----------
    differences : iterable of Difference
        Of two bills.
    subsystems : mapping of Designator to str
        Key of the subsystem of each designator; those missing belong to none.

    Returns
    -------
    tuple of Proposal
        By subsystem; the one without a subsystem last.
    """
    groups: dict[str, list[Difference]] = {}
    for one in differences:
        groups.setdefault(subsystems.get(one.designator, ""), []).append(one)
    return tuple(_proposal(key, groups[key]) for key in sorted(groups, key=lambda key: (not key, key)))


def _proposal(subsystem: str, found: list[Difference]) -> Proposal:
    alike: dict[tuple[Kind, str, str], list[Designator]] = {}
    for one in found:
        alike.setdefault((one.kind, one.before, one.after), []).append(one.designator)
    what = "; ".join(_told(*key, group_designators(names)) for key, names in alike.items())
    designators = group_designators(one.designator for one in found)
    return Proposal(subsystem, _kind({one.kind for one in found}), what, designators, tuple(found))


def _kind(kinds: set[Kind]) -> str:
    if kinds & {Kind.ADDED, Kind.REMOVED}:
        return "schematic"
    return "layout" if Kind.FOOTPRINT in kinds else "BOM"


def _told(kind: Kind, before: str, after: str, names: str) -> str:
    if kind == Kind.ADDED:
        return f"{names} added ({after})"
    if kind == Kind.REMOVED:
        return f"{names} removed ({before})"
    return f"{names} {after} instead of {before}"
