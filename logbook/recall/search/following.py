"""Keeping the index up to date by following what was recorded, without the commands knowing of it.

Every command writes the record of changes, and readings have ids that only grow; so the index is behind by
what came after the ids it has seen. On PostgreSQL an id may appear after a higher one, when its transaction
took longer: ids that were skipped are looked for again for an hour, longer than any transaction takes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import connection, transaction
from django.db.models import Model, Q, QuerySet
from django.utils import timezone

from logbook.bench.models import Measurement
from logbook.common.jobs import Hold, enqueue
from logbook.common.models import ChangeRecord, Job
from logbook.recall.models import Followed
from logbook.recall.search.documents import SOURCES
from logbook.recall.search.writing import rebuild, refresh

SLICE = 2_000
MOST_AT_ONCE = 10_000
OPEN_FOR = timedelta(hours=1)
CATCH_UP = "bring the index up to date"
CHANGES, READINGS = "changes", "measurements"
FOLLOWED: dict[str, type[Model]] = {CHANGES: ChangeRecord, READINGS: Measurement}


@dataclass(frozen=True)
class _Gap:
    """Ids that were skipped, from ``first`` to ``last``, and when."""

    first: int
    last: int
    noticed: float

    @property
    def condition(self) -> Q:
        return Q(pk__range=(self.first, self.last))


def bring_up_to_date() -> bool:
    """Index what was recorded since; says whether it all was. Three queries where nothing is new.

    More than 10,000 rows are left to a job, so that nobody waits for an import to be indexed.
    """
    for _ in range(MOST_AT_ONCE // SLICE):
        if not _follow():
            return True
    if not _is_behind():
        return True
    if not Job.objects.filter(name=CATCH_UP, finished_at__isnull=True).exists():
        enqueue(name=CATCH_UP, subject_id=0)
    return False


def catch_up(hold: Hold) -> None:
    """Index everything that was recorded since; the work of the job."""
    while _follow():
        hold.renew()


def note_not_caught_up(subject_id: int, problem: str) -> None:
    """Do nothing when the job fails for good: the next search asks for it again."""


def make_anew() -> int:
    """Make the whole index anew and follow from here; returns how many documents there are."""
    with transaction.atomic():
        Followed.objects.all().delete()
        # Before the objects are read: what comes meanwhile is read twice rather than never.
        for name in FOLLOWED:
            _begin_at_the_end(name)
        return rebuild()


def _begin_at_the_end(name: str) -> None:
    """Follow a source from its last row on; of the last ones, those that are not there yet are awaited."""
    last = FOLLOWED[name]._default_manager.order_by("-pk").values_list("pk", flat=True).first() or 0
    followed = Followed.objects.create(source=name, seen=max(last - MOST_AT_ONCE, 0))
    _pass(followed, list(_news(name, followed).values_list("pk", flat=True)))


def _is_behind() -> bool:
    followed = {row.source: row for row in Followed.objects.all()}
    return any(_news(name, followed.get(name)).exists() for name in FOLLOWED)


def _follow() -> bool:
    """Index the next slice of what was recorded; says whether there was anything."""
    if not _is_behind():
        return False
    with transaction.atomic():
        for name in FOLLOWED:
            Followed.objects.get_or_create(source=name)
        rows = {row.source: row for row in Followed.objects.select_for_update().order_by("source")}
        touched: dict[str, set[int]] = defaultdict(set)
        for kind, ids in (*_changed(rows[CHANGES]), *_read(rows[READINGS])):
            touched[kind].update(ids)
        for kind, ids in touched.items():
            refresh(kind, ids)
    return True


def _changed(followed: Followed) -> Iterator[tuple[str, Iterable[int]]]:
    """Return which objects of which kind of document the next changes are about."""
    news = list(_news(CHANGES, followed).values_list("pk", "kind", "object_id")[:SLICE])
    by_table: dict[str, set[int]] = defaultdict(set)
    for _, table, object_id in news:
        by_table[table].add(object_id)
    for source in SOURCES.values():
        for table, way in source.follows:
            if ids := by_table.get(str(table._meta.verbose_name)):
                yield source.kind, _reached(table, ids, way)
    _pass(followed, [pk for pk, _, _ in news])


def _reached(table: type[Model], ids: set[int], way: str) -> Collection[int]:
    if way == "pk":
        return ids
    found = table._default_manager.filter(pk__in=ids).order_by().values_list(way, flat=True)
    return {pk for pk in found if pk is not None}


def _read(followed: Followed) -> Iterator[tuple[str, Iterable[int]]]:
    """Return the next readings."""
    news = list(_news(READINGS, followed).values_list("pk", flat=True)[:SLICE])
    yield "measurement", news
    _pass(followed, news)


def _news(name: str, followed: Followed | None) -> QuerySet[Model]:
    """Return the rows of a source that were not seen yet, by id."""
    condition = Q(pk__gt=followed.seen if followed else 0)
    for gap in _gaps_of(followed) if followed else ():
        condition |= gap.condition
    return FOLLOWED[name]._default_manager.filter(condition).order_by("pk")


def _gaps_of(followed: Followed) -> list[_Gap]:
    oldest = (timezone.now() - OPEN_FOR).timestamp()
    return [gap for gap in (_Gap(*one) for one in followed.gaps) if gap.noticed > oldest]


def _pass(followed: Followed, ids: list[int]) -> None:
    """Note that these ids were seen, and which were skipped on the way."""
    if connection.vendor == "postgresql":
        gaps = list(_remaining(_gaps_of(followed), ids, followed.seen, timezone.now()))
        followed.gaps = [[gap.first, gap.last, gap.noticed] for gap in gaps]
    followed.seen = max([followed.seen, *ids])
    followed.save(update_fields=["seen", "gaps"])


def _remaining(gaps: list[_Gap], ids: list[int], seen: int, moment: datetime) -> Iterator[_Gap]:
    """Return what is left of the gaps when ``ids`` are seen, with the new ones up to the last of them."""
    new = [_Gap(seen + 1, ids[-1], moment.timestamp())] if ids and ids[-1] > seen else []
    for gap in (*gaps, *new):
        first = gap.first
        for pk in ids:
            if first <= pk <= gap.last:
                if pk > first:
                    yield _Gap(first, pk - 1, gap.noticed)
                first = pk + 1
        if first <= gap.last:
            yield _Gap(first, gap.last, gap.noticed)


__all__ = ["CATCH_UP", "bring_up_to_date", "catch_up", "make_anew", "note_not_caught_up"]
