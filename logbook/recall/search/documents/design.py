"""Documents of projects and of what a design is made of."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import Max

from logbook.projects.models import (
    NOTE_TEXTS,
    BillLine,
    BillOfMaterials,
    Change,
    Connector,
    ConnectorPin,
    Option,
    OptionDecision,
    Project,
    ProjectStateEvent,
    Revision,
    ShelvingNote,
    Subsystem,
)
from logbook.recall.search.documents.document import Found, Ids, Source, chosen, lines, noon_of, titled


def _projects(ids: Ids) -> Iterator[Found]:
    related = ("characteristics", "state_events__shelving_notes")
    for row in chosen(Project.objects.prefetch_related(*related), ids):
        events = list(row.state_events.all())
        notes = [event.note for event in events]
        notes += [_told(note) for event in events for note in event.shelving_notes.all()]
        tags = [tag.name for tag in row.characteristics.all()]
        body = lines(row.slug, row.purpose, " ".join(tags), *notes)
        yield Found(row.pk, row.pk, row.code or row.slug, row.name, body, (), at=row.opened_at)


def _told(note: ShelvingNote) -> str:
    """Return everything a shelving note says."""
    return lines(*(getattr(note, name) for name in NOTE_TEXTS))


def _subsystems(ids: Ids) -> Iterator[Found]:
    for row in chosen(Subsystem.objects.all(), ids):
        body = lines(row.kind, row.purpose)
        yield Found(row.pk, row.project_id, row.key, titled(row.key, row.name), body, ())


def _revisions(ids: Ids) -> Iterator[Found]:
    for row in chosen(Revision.objects.all(), ids):
        never = f"never connect: {row.never_connect}" if row.never_connect else ""
        powered = lines(row.power_input, row.polarity, row.current_limit, row.idle_current, never)
        at = noon_of(row.ordered_on or row.drawn_on)
        title = f"revision {row.label}"
        yield Found(
            row.pk, row.project_id, row.label, title, lines(row.summary, powered), (row.label,), at=at
        )


def _changes(ids: Ids) -> Iterator[Found]:
    for row in chosen(Change.objects.select_related("revision"), ids):
        body = lines(row.why, row.designators, row.cause, row.withdrawn_because)
        revision = row.revision
        yield Found(
            row.pk,
            revision.project_id,
            row.key,
            titled(row.key, row.what),
            body,
            (revision.label,),
            place=f"rev {revision.label}",
            at=row.recorded_at,
        )


def _parts(ids: Ids) -> Iterator[Found]:
    """Return the parts of the bill that stands on each revision."""
    newest = BillOfMaterials.objects.order_by().values("revision").annotate(newest=Max("pk")).values("newest")
    rows = BillLine.objects.filter(bill__in=newest).select_related("bill__revision")
    for row in chosen(rows, ids).iterator(chunk_size=2_000):
        revision = row.bill.revision
        fitted = "" if row.is_fitted else "not fitted"
        yield Found(
            row.pk,
            revision.project_id,
            row.designator,
            titled(row.designator, row.value),
            lines(row.description, row.part_number, row.maker, row.footprint, fitted),
            (revision.label,),
            place=f"rev {revision.label}",
            at=row.bill.imported_at,
        )


def _options(ids: Ids) -> Iterator[Found]:
    for row in chosen(Option.objects.prefetch_related("positions", "decisions"), ids):
        positions = [f"{one.name}: {one.meaning}" for one in row.positions.all()]
        reasons = [one.because for one in row.decisions.all()]
        body = lines(row.note, *positions, *reasons)
        yield Found(row.pk, row.project_id, row.key, titled(row.key, row.name), body, ())


def _connectors(ids: Ids) -> Iterator[Found]:
    for row in chosen(Connector.objects.prefetch_related("pins"), ids):
        standing = (one for one in row.pins.all() if one.replaced_at is None)
        pins = dict.fromkeys(lines(one.number, one.name, one.level, one.standard) for one in standing)
        told = (one.replace("\n", " ") for one in pins)
        body = lines(row.caution, row.place, row.physical, row.pin_1, row.mates_with, *told)
        yield Found(row.pk, row.project_id, row.key, titled(row.key, row.name), body, (row.key,))


SOURCES = (
    Source(
        "project",
        _projects,
        ((Project, "pk"), (ProjectStateEvent, "project_id"), (ShelvingNote, "event__project_id")),
        "project-detail",
    ),
    Source("subsystem", _subsystems, ((Subsystem, "pk"),), "project-detail"),
    Source("revision", _revisions, ((Revision, "pk"),), "revision-detail"),
    Source("change", _changes, ((Change, "pk"),), "revision-changes"),
    # A newer bill takes the lines of the older one out, so all lines of its revision are made anew.
    Source("part", _parts, ((BillOfMaterials, "revision__bills_of_materials__lines__pk"),), "bill-detail"),
    Source("option", _options, ((Option, "pk"), (OptionDecision, "option_id")), "option-list"),
    Source("connector", _connectors, ((Connector, "pk"), (ConnectorPin, "connector_id")), "connector-detail"),
)
