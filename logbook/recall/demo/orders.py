"""What was decided before each order: the entries of the story that say so."""

from __future__ import annotations

from datetime import date

from logbook.planning.commands import Answered, place_order, record_order
from logbook.planning.queries.orders import orders_of
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry


def decided(cast: Cast, entry: Entry) -> None:
    """Decide to order a revision or not; a set of files kept elsewhere is named by its hash."""
    says = dict(entry.says)
    revision = cast.revision(entry, says.pop("label"))
    answers = {key: Answered(*words) for key, words in says.pop("answers").items()}
    record_order(actor=cast.actor(entry), revision=revision, answers=answers, **says)


def placed(cast: Cast, entry: Entry) -> None:
    """Note the day the newest order record of a revision was placed."""
    order = orders_of(cast.revision(entry, entry.says["label"])).last()
    assert order is not None  # noqa: S101 - the story decides before it orders
    day = date.fromisoformat(entry.says["ordered_on"])
    place_order(actor=cast.actor(entry), order=order, ordered_on=day)
