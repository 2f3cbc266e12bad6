"""The one door through which every reading enters: pages, API, CSV, command line and demo alike."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from operator import attrgetter

from django.db import IntegrityError, transaction

from logbook.bench.commands.building import build_measurement
from logbook.bench.commands.catalogue import Catalogue, catalogue_for
from logbook.bench.commands.current import count_in
from logbook.bench.commands.identity import content_digest_of, key_of
from logbook.bench.commands.reading import ReadingInput, Recorded
from logbook.bench.commands.storable import refusal_of
from logbook.bench.models import Measurement
from logbook.common import clock, metrics
from logbook.common.bulk import any_of, insert_rows, next_ids
from logbook.common.changes import Actor
from logbook.common.errors import ConflictError, DomainError, NotAllowedError
from logbook.projects.models import Project

SLICE = 5_000
ATTEMPTS = 4
# The id of a project and the key of a reading in it.
Place = tuple[int, str]
STORED = tuple(field.attname for field in Measurement._meta.concrete_fields)
VALUES_OF = attrgetter(*STORED)


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
    2. What is already recorded word for word is answered so, and not read or judged again.
    3. Sort out the rest by their keys; store what is new; keep the current results.
    """
    if actor.user is None:
        message = "only a person or a token of a person can record readings"
        raise NotAllowedError(message)
    moment = clock.now()
    refusals = [refusal_of(item) for item in items]
    sound = [item for item, refusal in zip(items, refusals, strict=True) if refusal is None]
    catalogue = catalogue_for(actor.user, sound, locking=True)
    known = _already_recorded(sound, catalogue)
    built = [
        refusal
        or _repeated(item, catalogue, known)
        or _built(item, catalogue, actor, moment, identity_required)
        for item, refusal in zip(items, refusals, strict=True)
    ]
    fresh = [one for one in built if isinstance(one, Measurement)]
    settled = _settle(fresh, known)
    new = [one for one in fresh if settled[id(one)].status == "stored"]
    for project, added in _by_project(new):
        _insert(added)
        count_in(project, added, catalogue.yardsticks[project.pk], catalogue.revisions)
    return [
        Recorded(offset + index, "rejected", error=one)
        if isinstance(one, DomainError)
        else replace(one if isinstance(one, Recorded) else settled[id(one)], index=offset + index)
        for index, one in enumerate(built)
    ]


def _built(
    item: ReadingInput,
    catalogue: Catalogue,
    actor: Actor,
    moment: datetime,
    identity_required: bool,  # noqa: FBT001
) -> Measurement | DomainError:
    try:
        return build_measurement(
            item, catalogue, actor=actor, moment=moment, identity_required=identity_required
        )
    except DomainError as error:
        return error


def _insert(measurements: Sequence[Measurement]) -> None:
    """Store judged measurements and give them their ids."""
    for measurement, pk in zip(measurements, next_ids(Measurement, len(measurements)), strict=True):
        measurement.pk = pk
        measurement._state.adding = False
    insert_rows(Measurement, STORED, map(VALUES_OF, measurements))


def _settle(fresh: Sequence[Measurement], known: dict[Place, Measurement]) -> dict[int, Recorded]:
    """Decide for each built measurement whether it is new, already there, or contradicts its key."""
    settled: dict[int, Recorded] = {}
    for one in fresh:
        place = (one.project_id, one.key)
        earlier = known.get(place)
        if earlier is None:
            known[place] = one
            settled[id(one)] = Recorded(0, "stored", one)
        elif earlier.content_digest == one.content_digest:
            settled[id(one)] = Recorded(0, "duplicate", earlier)
        else:
            message = f"key {one.key!r} was already used for another reading ({earlier})"
            settled[id(one)] = Recorded(0, "rejected", error=ConflictError(message))
    return settled


def _already_recorded(items: Sequence[ReadingInput], catalogue: Catalogue) -> dict[Place, Measurement]:
    """Return what is stored under the keys of some readings. One query, none without a key."""
    places = {place for item in items if (place := _place_of(item, catalogue)) is not None}
    if not places:
        return {}
    rows = Measurement.objects.filter(
        project_id__in={project_id for project_id, _ in places}, key__in=any_of([key for _, key in places])
    ).select_related("project", "board", "target", "issue", "instrument", "recorded_by", "withdrawn_by")
    return {(row.project_id, row.key): row for row in rows}


def _place_of(item: ReadingInput, catalogue: Catalogue) -> Place | None:
    """Return project and key of a reading that has a key; none where it cannot be named."""
    if not item.key and item.taken_at is None:
        return None
    try:
        return catalogue.project(item.project).pk, key_of(item, identity_required=True)
    except DomainError:
        return None


def _repeated(
    item: ReadingInput, catalogue: Catalogue, known: Mapping[Place, Measurement]
) -> Recorded | None:
    """Return the answer to a reading that says what is already stored under its key."""
    place = _place_of(item, catalogue) if known else None
    earlier = known.get(place) if place is not None else None
    if earlier is None or earlier.content_digest != content_digest_of(item):
        return None
    return Recorded(0, "duplicate", earlier)


def _by_project(measurements: Sequence[Measurement]) -> Iterator[tuple[Project, list[Measurement]]]:
    projects = {one.project_id: one.project for one in measurements}
    for pk, project in sorted(projects.items()):
        yield project, [one for one in measurements if one.project_id == pk]
