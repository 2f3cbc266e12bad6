"""A computed number as it is recorded: in the unit its target asks for, with the digits it deserves."""

from __future__ import annotations

from dataclasses import replace
from decimal import Context, Decimal

from logbook.bench.commands.building import build_reading
from logbook.bench.commands.catalogue import catalogue_for
from logbook.bench.commands.reading import ReadingInput
from logbook.bench.models import TargetIssue
from logbook.common import clock
from logbook.common.changes import Actor
from logbook.common.errors import InvalidInputError
from logbook.core.quantities import convert, unit_named, without_trailing_zeros
from logbook.core.uncertainty import round_reported_uncertainty, round_to_uncertainty

# Where nothing says how sure a number is.
USUAL_DIGITS = 6
# Of what a floating-point number carries.
MOST_DIGITS = 15
UNCERTAINTY_DIGITS = 2
LONGEST = 24


def issue_in_force(actor: Actor, item: ReadingInput) -> TargetIssue | None:
    """Return what would judge a reading; none without a target. Seven queries.

    Raises
    ------
    DomainError
        Naming what of the reading does not exist.
    """
    if not item.target or actor.user is None:
        return None
    catalogue = catalogue_for(actor.user, [item])
    project = catalogue.project(item.project)
    board, target = catalogue.board(project, item.board), catalogue.target(project, item.target)
    return catalogue.yardsticks[project.pk].in_force(target.pk, board.revision_id)


def with_digits(actor: Actor, item: ReadingInput, exact: Decimal, wanted: str) -> ReadingInput:
    """Return the reading with ``exact``, given in the unit of ``item``, rounded and in ``wanted``.

    It keeps the digits its uncertainty justifies (JCGM 100:2008, 7.2.6), stated or of the instrument, and
    six significant ones where there is none.
    """
    given, unit = unit_named(item.unit), unit_named(wanted)
    if given.base == unit.base:
        exact = convert(exact, given, unit)
        item = replace(item, unit=unit.symbol)
    rough = replace(item, value=_written(Context(prec=MOST_DIGITS).plus(exact)))
    return replace(item, value=_written(rounded(exact, _uncertainty_of(actor, rough))))


def rounded(exact: Decimal, uncertainty: Decimal | None) -> Decimal:
    """Return a number with the digits its uncertainty justifies, never more than it carries."""
    if not uncertainty:
        return without_trailing_zeros(Context(prec=USUAL_DIGITS).plus(exact))
    last = round_reported_uncertainty(uncertainty, UNCERTAINTY_DIGITS).adjusted() - UNCERTAINTY_DIGITS + 1
    if exact.adjusted() - last >= MOST_DIGITS:
        return Context(prec=MOST_DIGITS).plus(exact)
    return round_to_uncertainty(exact, uncertainty, UNCERTAINTY_DIGITS)


def _uncertainty_of(actor: Actor, item: ReadingInput) -> Decimal | None:
    """Return the expanded uncertainty a reading would get, in its unit."""
    if actor.user is None:
        return None
    try:
        catalogue = catalogue_for(actor.user, [item])
        # It is not stored, so it needs neither.
        built = build_reading(item, catalogue, actor=actor, moment=clock.now(), key="", digest="")
    except InvalidInputError:
        # What is wrong with it is said when it is recorded.
        return None
    return Decimal(built.expanded_uncertainty) if built.expanded_uncertainty else None


def _written(value: Decimal) -> str:
    plain = f"{value:f}"
    return plain if len(plain) <= LONGEST else str(value)
