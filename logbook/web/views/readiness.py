"""Whether a revision is ready to order: what is missing, where to settle it, what was ordered."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from logbook.core.readiness import Gap, Ground
from logbook.core.risk import Decision, SubjectKind
from logbook.planning.models import Order
from logbook.planning.queries import Missing, RevisionReadiness, RiskRow, readiness_of
from logbook.planning.queries.orders import orders_of
from logbook.projects.models import Revision
from logbook.projects.queries import revisions_of
from logbook.web.access import ProjectPage, signed_in
from logbook.web.forms.orders import ReadinessForm
from logbook.web.rendering import csv_answer, show
from logbook.web.reviewing import asked_of, boards_at_hand, day_of, opened_revision
from logbook.web.risk_rows import ClosingPlaces, ShownRisk, name_of, page_of, shown_risks
from logbook.web.unchanged import kept_while_unchanged

HEADER = ("ground", "subject_kind", "subject", "what", "reason", "settled_by")
# The page is about what is in the way; the rest stands in the list of open risks.
ALSO_SHOWN = 30


@dataclass(frozen=True)
class Place:
    """Where something can be settled."""

    address: str
    text: str


@dataclass(frozen=True)
class ShownGap:
    """One thing that is missing, its page, and the places that settle it."""

    gap: Gap
    title: str
    level: str
    page: str
    places: tuple[Place, ...]


@dataclass(frozen=True)
class ReadinessPage:
    """What the page of readiness shows; without ``answer`` the filter could not be read."""

    page: ProjectPage
    revision: Revision
    revisions: list[Revision]
    form: forms.Form
    answer: RevisionReadiness | None
    grounds: tuple[tuple[str, tuple[ShownGap, ...]], ...]
    also_open: tuple[ShownRisk, ...]
    also_left: int
    decided: tuple[tuple[str, int], ...]
    orders: list[Order]


@require_safe
@signed_in
@kept_while_unchanged
def readiness(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show what is missing before a revision may be ordered, and what was decided so far."""
    page, revision = opened_revision(request, slug, label)
    form = ReadinessForm(request.GET)
    answer = asked_of(form, lambda day: readiness_of(revision, as_of=day))
    boards = boards_at_hand(page, revision, answer.as_of if answer else None)
    places = ClosingPlaces(page.project, revision, boards.benches, boards.add_url, boards.older)
    also = answer.also_open if answer else ()
    context = ReadinessPage(
        page=page,
        revision=revision,
        revisions=list(revisions_of(page.project)),
        form=form,
        answer=answer,
        grounds=_by_ground(answer.missing if answer else (), page, places),
        also_open=shown_risks(also[:ALSO_SHOWN], places),
        also_left=max(len(also) - ALSO_SHOWN, 0),
        decided=_by_decision(answer.decided if answer else ()),
        orders=list(orders_of(revision)),
    )
    return show(request, "revisions/readiness.html", context, status=200 if answer else 400)


@require_safe
@signed_in
def readiness_csv(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return what is missing, one a line."""
    page, revision = opened_revision(request, slug, label)
    found = readiness_of(revision, as_of=day_of(ReadinessForm(request.GET)))
    lines = ([getattr(one.gap, name) for name in HEADER] for one in found.missing)
    return csv_answer(f"{page.project.slug}-{revision.label}-readiness.csv", HEADER, lines)


def _by_decision(rows: Iterable[RiskRow]) -> tuple[tuple[str, int], ...]:
    """Return how many rows each kind of decision holds for, in the order of the kinds."""
    counts = Counter(row.disposition.record.decision for row in rows if row.disposition)
    return tuple((str(word), counts[word]) for word in Decision if counts[word])


def _by_ground(
    missing: Iterable[Missing], page: ProjectPage, places: ClosingPlaces
) -> tuple[tuple[str, tuple[ShownGap, ...]], ...]:
    """Return what is missing by why, keeping the order of the list inside."""
    shown = [_shown(one, page, places) for one in missing]
    grouped = [(str(ground), tuple(one for one in shown if one.gap.ground is ground)) for ground in Ground]
    return tuple((ground, rows) for ground, rows in grouped if rows)


def _shown(one: Missing, page: ProjectPage, places: ClosingPlaces) -> ShownGap:
    row, gap = one.row, one.gap
    if row is None or gap.ground is Ground.UNANSWERED:
        slug, label = places.project.slug, places.revision.label
        address = f"{reverse('lesson-review', args=[slug, label])}?lesson={gap.subject}"
        about = reverse("lesson-detail", args=[gap.subject])
        title = row.title if row else gap.what
        return ShownGap(gap, title, row.level if row else "", about, (Place(address, "answer it"),))
    found = [_change_of(places, row) if gap.ground is Ground.NOT_IN_FILES else Place(*places.of(row))]
    if page.may_edit and gap.ground is not Ground.WAITING:
        deciding = reverse("risk-decide", args=[places.project.slug, places.revision.label])
        found.insert(0, Place(f"{deciding}?{urlencode({'row': name_of(row)})}", "decide it"))
    is_lesson = gap.subject_kind is SubjectKind.LESSON
    about = (
        reverse("lesson-detail", args=[gap.subject])
        if is_lesson
        else page_of(places.project, row, places.revision.label)
    )
    return ShownGap(gap, row.title, row.level, about, tuple(place for place in found if place.address))


def _change_of(places: ClosingPlaces, row: RiskRow) -> Place:
    """Return the change list in which the change decided for a row stands."""
    change = row.disposition.record.change if row.disposition else None
    label = change.revision.label if change else places.revision.label
    return Place(reverse("revision-changes", args=[places.project.slug, label]), f"changes of {label}")
