"""What a revision is asked: answered one by one, and an old revision seen with today's eyes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from logbook.common.errors import ConflictError, InvalidInputError
from logbook.lessons.choices import AnswerWord, Firmness, kind_of_change
from logbook.lessons.commands import Becomes, answer_lesson
from logbook.lessons.queries import OfferedLesson, learned_since, lessons_for
from logbook.lessons.queries.offered import day_of_design
from logbook.projects.choices import MAY
from logbook.projects.models import Revision, Subsystem
from logbook.projects.queries import check_role, revisions_of, subsystems_of
from logbook.web.access import ProjectPage, actor_of, signed_in
from logbook.web.forms.fields import add_problems
from logbook.web.forms.lessons import AnswerForm, ReviewFilter
from logbook.web.rendering import csv_answer, show
from logbook.web.reviewing import opened_revision

DRAWN = "drawn"
HEADER = (
    "lesson", "rule", "firmness", "discipline", "moment", "learned_on", "why", "answer", "text", "change",
    "answered_by", "answered_at",
)  # fmt: skip


@dataclass(frozen=True)
class ReviewPage:
    """What the review shows: the lesson at hand with its form, and the list of all that are asked."""

    page: ProjectPage
    revision: Revision
    revisions: Sequence[Revision]
    rows: Sequence[OfferedLesson]
    answered: int
    total: int
    musts_open: int
    at_hand: OfferedLesson | None
    form: forms.Form | None
    filter: forms.Form
    is_filtered: bool
    kept: str


@dataclass(frozen=True)
class Group:
    """The lessons about the same subsystems; without any, about the whole board."""

    subsystems: Sequence[Subsystem]
    rows: Sequence[OfferedLesson]


@dataclass(frozen=True)
class TodaysEyesPage:
    """What was learned since a revision was drawn, by subsystem."""

    page: ProjectPage
    revision: Revision
    revisions: Sequence[Revision]
    groups: Sequence[Group]
    day: date | None
    count: int
    older: int


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def lesson_review(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show what a revision is asked, and take the answer to the lesson at hand."""
    page, revision = opened_revision(request, slug, label)
    offered = lessons_for(revision)
    narrowed = ReviewFilter(request.GET)
    rows = [row for row in offered if _is_wanted(narrowed, row)]
    at_hand = _at_hand(request, offered, rows)
    form = _form(request, revision, at_hand)
    if request.method == "POST":
        check_role(page.role, may="edit")
        if form is not None and form.is_valid() and _is_answered(request, revision, at_hand, form):
            return redirect(_next_address(request, page, revision))
    context = ReviewPage(
        page=page,
        revision=revision,
        revisions=list(revisions_of(page.project)),
        rows=rows,
        answered=sum(row.answered is not None for row in offered),
        total=len(offered),
        musts_open=sum(_is_owed(row) and row.firmness == Firmness.MUST for row in offered),
        at_hand=at_hand,
        form=form if "edit" in MAY[page.role] else None,
        filter=narrowed,
        is_filtered=any(request.GET.get(name) for name in narrowed.fields),
        kept=_kept(request),
    )
    return show(request, "lessons/review.html", context, status=400 if form and form.errors else 200)


def _is_owed(row: OfferedLesson) -> bool:
    return row.is_binding and row.answered is None


def _is_wanted(form: forms.Form, row: OfferedLesson) -> bool:
    if not form.is_valid():
        return True
    said = {
        "moment": row.lesson.moment,
        "discipline": row.lesson.discipline,
        "firmness": row.firmness,
        "answer": row.answer,
    }
    return all(not form.cleaned_data[name] or form.cleaned_data[name] == word for name, word in said.items())


def _at_hand(
    request: HttpRequest, offered: Sequence[OfferedLesson], rows: Sequence[OfferedLesson]
) -> OfferedLesson | None:
    """Return the lesson the address names, or else the first without an answer."""
    named = request.GET.get("lesson")
    if named:
        return next((row for row in offered if row.key == named), None)
    return next((row for row in rows if row.answered is None), None)


def _form(request: HttpRequest, revision: Revision, row: OfferedLesson | None) -> AnswerForm | None:
    if row is None:
        return None
    before = row.answered
    initial = {
        "answer": before.answer if before else None,
        "text": before.text if before else "",
        "key": row.key,
        "kind": kind_of_change(row.lesson.discipline, row.lesson.moment),
    }
    form = AnswerForm(request.POST if request.method == "POST" else None, revision=revision, initial=initial)
    if revision.parent_id is None or (before and before.change_id):
        for name in ("key", "kind", "subsystems"):
            del form.fields[name]
    return form


def _is_answered(
    request: HttpRequest, revision: Revision, row: OfferedLesson | None, form: AnswerForm
) -> bool:
    """Record the answer, or put what is wrong with it into the form."""
    if row is None:
        return False
    given = form.cleaned_data
    try:
        made = answer_lesson(
            actor=actor_of(request),
            revision=revision,
            lesson=row.lesson,
            answer=given["answer"],
            text=given["text"],
            becomes=_becomes(given),
        )
    except (InvalidInputError, ConflictError) as error:
        add_problems(form, error)
        return False
    change = f", change {made.change} is planned" if made.change else ""
    messages.success(request, f"{row.key}: {made.answer}{change}.")
    return True


def _becomes(given: dict[str, Any]) -> Becomes | None:
    if given["answer"] != AnswerWord.TO_DO or "kind" not in given:
        return None
    asked = {"kind": given["kind"]} if given["kind"] else {}
    return Becomes(key=given["key"], subsystems=list(given["subsystems"]), **asked)


def _kept(request: HttpRequest) -> str:
    """Return the filter as part of an address, without the lesson at hand."""
    kept: QueryDict = request.GET.copy()
    kept.pop("lesson", None)
    return kept.urlencode()


def _next_address(request: HttpRequest, page: ProjectPage, revision: Revision) -> str:
    address = reverse("lesson-review", args=[page.project.slug, revision.label])
    kept = _kept(request)
    return f"{address}?{kept}#at-hand" if kept else f"{address}#at-hand"


@signed_in
@require_safe
def todays_eyes(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show what an old revision would be asked today: what was learned since it was drawn."""
    page, revision = opened_revision(request, slug, label)
    offered = lessons_for(revision)
    rows = learned_since(revision, offered)
    context = TodaysEyesPage(
        page=page,
        revision=revision,
        revisions=list(revisions_of(page.project)),
        groups=_groups(revision, rows),
        day=day_of_design(revision),
        count=len(rows),
        older=len(offered) - len(rows),
    )
    return show(request, "lessons/todays_eyes.html", context)


def _groups(revision: Revision, rows: Sequence[OfferedLesson]) -> list[Group]:
    """Return the lessons about the same subsystems together, in their order; the whole board comes last.

    Three queries.
    """
    subsystems = list(subsystems_of(revision.project))
    order = {one.key: place for place, one in enumerate(subsystems)}
    about: dict[tuple[int, ...], list[OfferedLesson]] = {}
    for row in rows:
        about.setdefault(tuple(sorted(order[key] for key in row.subsystems)), []).append(row)
    places = sorted(about, key=lambda found: (not found, found))
    return [Group([subsystems[one] for one in found], about[found]) for found in places]


@signed_in
@require_safe
def review_csv(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return what a revision is asked as a table; ``since=drawn`` leaves what is older out."""
    page, revision = opened_revision(request, slug, label)
    offered = lessons_for(revision)
    if request.GET.get("since") == DRAWN:
        offered = learned_since(revision, offered)
    narrowed = ReviewFilter(request.GET)
    lines = [_line(row) for row in offered if _is_wanted(narrowed, row)]
    return csv_answer(f"{page.project.slug}-{revision.label}-lessons.csv", HEADER, lines)


def _line(row: OfferedLesson) -> tuple[object, ...]:
    given = row.answered
    return (
        row.key,
        row.lesson.rule,
        row.firmness,
        row.lesson.discipline,
        row.lesson.moment,
        row.learned_on,
        row.why,
        row.answer,
        given.text if given else "",
        given.change.key if given and given.change else "",
        given.by.get_username() if given and given.by else "",
        given.at.isoformat() if given else "",
    )
