"""How every option stands on a revision: drawn, ordered, decided or left open."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from logbook.projects.models import (
    DesignedPosition,
    Option,
    OptionDecision,
    OptionPosition,
    OrderedPosition,
    Project,
    Revision,
)
from logbook.projects.queries.options import options_of
from logbook.projects.queries.revisions import lineages

NOT_FITTED = "not fitted"


def position_in_words(position: OptionPosition | None) -> str:
    """Return the name of a position; none is *not fitted*."""
    return position.name if position else NOT_FITTED


@dataclass(frozen=True)
class OptionStanding:
    """One option on one revision.

    ``decision`` is the newest of the revision, or of the nearest ancestor that has one.
    """

    option: Option
    revision: Revision
    drawn: DesignedPosition | None
    ordered: OrderedPosition | None
    decision: OptionDecision | None
    is_due: bool

    @property
    def is_open(self) -> bool:
        """Say whether nobody has said yet what it is to be here."""
        return self.drawn is None if self.decision is None else self.decision.is_open

    @property
    def says(self) -> str:
        """Return what was decided, in words."""
        if self.decision is None:
            return "never decided, and not drawn" if self.drawn is None else "as drawn; no decision recorded"
        made_on = self.decision.revision
        where = "" if made_on.pk == self.revision.pk else f" on {made_on}"
        if not self.decision.is_open:
            return f"decided{where}: {position_in_words(self.decision.position)}"
        until = f" until {self.decision.open_until}" if self.decision.open_until else ""
        return f"left open{where}{until}" + (", due now" if self.is_due else "")


def option_standings(revision: Revision) -> list[OptionStanding]:
    """Return every option of the project as it stands on a revision, by key. Nine queries."""
    return standings_of(options_of(revision.project), revision)


def standings_of(
    options: Iterable[Option],
    revision: Revision,
    *,
    until: datetime | None = None,
    line: tuple[int, ...] | None = None,
) -> list[OptionStanding]:
    """Return how options stand on a revision. Four queries beside that of the options, none without any.

    ``until`` leaves out decisions and orders recorded later; what is drawn is always today's. ``line`` holds
    the ids of the revision and its ancestors, where they are at hand.
    """
    asked = list(options)
    if not asked:
        return []
    line = line or lineages(revision.project)[revision.pk]
    drawn = {row.option_id: row for row in _drawn_on(revision)}
    ordered = {row.option_id: row for row in _recorded(ordered_positions_of(revision), until)}
    decided = _nearest(_recorded(decisions_of(revision.project), until), line)
    found = []
    for option in asked:
        decision = decided.get(option.pk)
        is_due = decision is not None and decision.open_until_id in line
        found.append(
            OptionStanding(option, revision, drawn.get(option.pk), ordered.get(option.pk), decision, is_due)
        )
    return found


def decisions_of(project: Project) -> QuerySet[OptionDecision]:
    """Return every decision on the options of a project, oldest first. One query."""
    return (
        OptionDecision.objects.filter(option__project=project)
        .select_related("option", "revision", "position", "open_until", "recorded_by")
        .order_by("id")
    )


def ordered_positions_of(revision: Revision) -> QuerySet[OrderedPosition]:
    """Return what was ordered for a revision, oldest first. One query."""
    return (
        OrderedPosition.objects.filter(revision=revision)
        .select_related("option", "revision", "position", "recorded_by")
        .order_by("id")
    )


def orders_of(option: Option) -> QuerySet[OrderedPosition]:
    """Return what was ordered of an option on every revision, oldest first. One query."""
    return (
        OrderedPosition.objects.filter(option=option)
        .select_related("revision", "position", "recorded_by")
        .order_by("id")
    )


def _drawn_on(revision: Revision) -> QuerySet[DesignedPosition]:
    return DesignedPosition.objects.filter(revision=revision).select_related("position")


def _recorded(rows: QuerySet, until: datetime | None) -> QuerySet:  # type: ignore[type-arg]
    return rows if until is None else rows.filter(recorded_at__lte=until)


def _nearest(decisions: QuerySet[OptionDecision], line: tuple[int, ...]) -> dict[int, OptionDecision]:
    """Return for each option the newest decision of the nearest revision of the line that has one."""
    found: dict[int, OptionDecision] = {}
    for decision in decisions:
        if decision.revision_id not in line:
            continue
        held = found.get(decision.option_id)
        if held is None or line.index(decision.revision_id) <= line.index(held.revision_id):
            found[decision.option_id] = decision
    return found
