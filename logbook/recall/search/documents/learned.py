"""Documents of evidence, of findings and decisions, and of lessons."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.evidence.models import Evidence, Placing
from logbook.findings.models import Finding, FindingEvent
from logbook.lessons.models import Lesson, LessonEvent
from logbook.planning.models import Disposition, Order
from logbook.recall.search.documents.document import Found, Ids, Source, chosen, lines, noon_of, titled


def _evidence(ids: Ids) -> Iterator[Found]:
    for row in chosen(Evidence.objects.select_related("board", "revision"), ids):
        board = f"board {row.board.serial}" if row.board else ""
        revision = f"rev {row.revision.label}" if row.revision else ""
        yield Found(
            row.pk,
            row.project_id,
            row.name,
            row.caption or row.name,
            lines(row.name if row.caption else "", row.kind),
            (row.pk,),
            place=board or revision,
            at=row.taken_at or row.recorded_at,
        )


def _placings(ids: Ids) -> Iterator[Found]:
    rows = Placing.objects.filter(withdrawn_at__isnull=True).exclude(text="")
    for row in chosen(rows.select_related("picture__revision"), ids):
        picture = row.picture
        yield Found(
            row.pk,
            picture.project_id,
            "",
            row.text,
            lines(titled(row.kind, row.key), f"{picture.side} side"),
            (picture.pk,),
            place=f"rev {picture.revision.label}",
            at=row.recorded_at,
        )


def _findings(ids: Ids) -> Iterator[Found]:
    for row in chosen(Finding.objects.prefetch_related("events"), ids):
        steps = [event.note for event in row.events.all()]
        body = lines(row.what, row.place, row.trigger, row.workaround, row.cause_family, *steps)
        title = titled(row.key, row.title)
        yield Found(row.pk, row.project_id, row.key, title, body, (row.key,), at=row.found_at)


def _lessons(ids: Ids) -> Iterator[Found]:
    for row in chosen(Lesson.objects.prefetch_related("events"), ids):
        notes = [event.note for event in row.events.all()]
        body = lines(row.what_happened, row.why, row.how_to_check, row.cost, row.discipline, *notes)
        yield Found(
            row.pk,
            row.project_id,
            row.key,
            titled(row.key, row.rule),
            body,
            (row.key,),
            at=noon_of(row.learned_on),
            for_everyone=row.shared_at is not None,
        )


def _dispositions(ids: Ids) -> Iterator[Found]:
    for row in chosen(Disposition.objects.select_related("revision"), ids):
        revision = row.revision
        yield Found(
            row.pk,
            revision.project_id,
            "",
            f"{row.decision} {row.subject}: {row.reason or row.told}",
            lines(row.told, row.owner, row.withdrawn_because),
            (revision.label,),
            place=f"rev {revision.label}",
            at=row.recorded_at,
        )


def _orders(ids: Ids) -> Iterator[Found]:
    for row in chosen(Order.objects.select_related("revision"), ids):
        revision = row.revision
        remarks = [answer.get("remark", "") for answer in row.answers]
        yield Found(
            row.pk,
            revision.project_id,
            "",
            f"order of rev {revision.label}: {row.decision}, {row.name}",
            lines(row.conditions, row.note, *remarks),
            (revision.label, row.pk),
            place=f"rev {revision.label}",
            at=noon_of(row.ordered_on or row.decided_on),
        )


SOURCES = (
    Source("evidence", _evidence, ((Evidence, "pk"),), "evidence-detail"),
    Source("placing", _placings, ((Placing, "pk"),), "picture-detail"),
    Source("finding", _findings, ((Finding, "pk"), (FindingEvent, "finding_id")), "finding-detail"),
    Source(
        "lesson",
        _lessons,
        ((Lesson, "pk"), (LessonEvent, "lesson_id")),
        "lesson-detail",
        is_of_project=False,
    ),
    Source("disposition", _dispositions, ((Disposition, "pk"),), "risk-list"),
    Source("order", _orders, ((Order, "pk"),), "order-detail"),
)
