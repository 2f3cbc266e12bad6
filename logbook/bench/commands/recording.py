"""The one door through which every reading enters: pages, API, CSV, command line and demo alike."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import datetime
from operator import attrgetter
from typing import cast

from django.db import IntegrityError, transaction

from logbook.bench.commands.building import build_reading
from logbook.bench.commands.catalogue import Catalogue, catalogue_for
from logbook.bench.commands.current import count_in
from logbook.bench.commands.identity import content_digest_of, key_of
from logbook.bench.commands.reading import ReadingInput, Recorded
from logbook.bench.commands.storable import refusal_of
from logbook.bench.commands.stored import COLUMNS, StoredReading, stored_under
from logbook.bench.models import Measurement
from logbook.common import clock, metrics
from logbook.common.bulk import insert_rows, next_ids
from logbook.common.changes import Actor
from logbook.common.errors import ConflictError, DomainError, NotAllowedError
from logbook.projects.models import Project

SLICE = 5_000
ATTEMPTS = 4
# The id of a project and the key of a reading in it.
Place = tuple[int, str]
VALUES_OF = attrgetter(*COLUMNS)


def record_reading(*, actor: Actor, item: ReadingInput) -> Recorded:
    """Record one reading and return what became of it; raises instead of rejecting."""
    result = _record_slice([item], actor=actor, offset=0, identity_required=False)[0]
    if result.error is not None:
        raise result.error
    return result


def record_readings(*, actor: Actor, items: Sequence[ReadingInput]) -> list[Recorded]:
    """Record a list of readings in the order given; a bad one costs only itself.

    Stored in slices of 5,000, one transaction each. Keys make the whole repeatable.
    """
    results: list[Recorded] = []
    for start in range(0, len(items), SLICE):
        part = items[start : start + SLICE]
        results += _record_slice(part, actor=actor, offset=start, identity_required=True)
    return results


def _record_slice(
    items: Sequence[ReadingInput], *, actor: Actor, offset: int, identity_required: bool
) -> list[Recorded]:
    """Record one slice; repeated when another writer stored one of its keys in between."""
    for attempt in range(ATTEMPTS):
        try:
            with transaction.atomic():
                results = _attempt(items, actor=actor, offset=offset, identity_required=identity_required)
        except IntegrityError:
            if attempt == ATTEMPTS - 1:
                raise
        else:
            for outcome, count in Counter(one.status for one in results).items():
                metrics.READINGS.labels(outcome).inc(count)
            return results
    return []


def _attempt(
    items: Sequence[ReadingInput], *, actor: Actor, offset: int, identity_required: bool
) -> list[Recorded]:
    """Record a slice inside the transaction.

    1. Resolve keys, which locks the boards; errors stay with their item.
    2. Sort out one by one: what is already recorded word for word is answered so, and not judged again.
    3. Store what is new; keep the current results.
    """
    if actor.user is None:
        message = "only a person or a token of a person can record readings"
        raise NotAllowedError(message)
    moment = clock.now()
    refusals = [refusal_of(item) for item in items]
    sound = [item for item, refusal in zip(items, refusals, strict=True) if refusal is None]
    catalogue = catalogue_for(actor.user, sound, locking=True)
    places = [
        None if refusal is not None else _place_of(item, catalogue)
        for item, refusal in zip(items, refusals, strict=True)
    ]
    known = stored_under(place for place in places if place is not None)
    sorting = _Sorting(catalogue, actor, moment, known, identity_required=identity_required)
    results = [
        Recorded(index, "rejected", error=refusal)
        if refusal is not None
        else sorting.sort(index, item, place)
        for index, (item, refusal, place) in enumerate(zip(items, refusals, places, strict=True), offset)
    ]
    for project, added in _by_project(sorting.new, catalogue):
        _insert(added)
        # They have the columns of a row, which is all that is asked of them there.
        rows = cast("list[Measurement]", added)
        count_in(project, rows, catalogue.yardsticks[project.pk], catalogue.revisions)
    return results


class _Sorting:
    """Decides for each reading of a slice whether it is new, already there, contradicted or wrong."""

    def __init__(
        self,
        catalogue: Catalogue,
        actor: Actor,
        moment: datetime,
        known: dict[Place, StoredReading],
        *,
        identity_required: bool,
    ) -> None:
        self.catalogue, self.actor, self.moment, self.known = catalogue, actor, moment, known
        self.identity_required = identity_required
        self.new: list[StoredReading] = []

    def sort(self, index: int, item: ReadingInput, place: Place | None) -> Recorded:
        """Return what becomes of one reading; a new one is kept to be stored."""
        digest = content_digest_of(item)
        earlier = self.known.get(place) if place is not None else None
        if earlier is not None and earlier.content_digest == digest:
            return Recorded(index, "duplicate", earlier)
        try:
            reading = build_reading(
                item,
                self.catalogue,
                actor=self.actor,
                moment=self.moment,
                key=place[1] if place is not None else "",
                digest=digest,
            )
            if place is None:
                reading.key = key_of(item, identity_required=self.identity_required)
        except DomainError as error:
            return Recorded(index, "rejected", error=error)
        if earlier is not None:
            message = f"key {reading.key!r} was already used for another reading ({earlier})"
            return Recorded(index, "rejected", error=ConflictError(message))
        self.known[reading.project_id, reading.key] = reading
        self.new.append(reading)
        return Recorded(index, "stored", reading)


def _insert(readings: Sequence[StoredReading]) -> None:
    """Store judged readings and give them their ids."""
    for reading, pk in zip(readings, next_ids(Measurement, len(readings)), strict=True):
        reading.number(pk)
    insert_rows(Measurement, COLUMNS, map(VALUES_OF, readings))


def _place_of(item: ReadingInput, catalogue: Catalogue) -> Place | None:
    """Return project and key of a reading that has a key; none where it cannot be named."""
    if not item.key and item.taken_at is None:
        return None
    try:
        return catalogue.project(item.project).pk, key_of(item, identity_required=True)
    except DomainError:
        return None


def _by_project(
    readings: Sequence[StoredReading], catalogue: Catalogue
) -> Iterator[tuple[Project, list[StoredReading]]]:
    projects = {project.pk: project for project, _ in catalogue.projects.values()}
    for pk in sorted({one.project_id for one in readings}):
        yield projects[pk], [one for one in readings if one.project_id == pk]
