"""Bench sessions: the list, the page of one, opening, changing and closing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from logbook.bench.commands import change_bench_session, open_bench_session
from logbook.bench.models import BenchSession, Measurement
from logbook.bench.queries.evidence import evidence_of_session
from logbook.bench.queries.lists import bench_session_of, bench_sessions_of, measurements_of
from logbook.common import clock
from logbook.common.errors import DomainError
from logbook.evidence.models import Evidence
from logbook.projects.models import Project
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.bench import SessionForm
from logbook.web.forms.fields import add_problems
from logbook.web.paging import newest_first
from logbook.web.rendering import csv_answer, show

SHOWN_READINGS = 300
SESSIONS_HEADER = (
    "session", "title", "started_at", "ended_at", "people", "boards", "instruments", "place",
    "ambient_c", "supply", "firmware", "next_step", "note",
)  # fmt: skip


@dataclass(frozen=True)
class SessionListPage:
    """What the list of sittings shows."""

    page: ProjectPage
    rows: Sequence[BenchSession]
    after: str
    board: str
    boards: list[str]
    state: str


@dataclass(frozen=True)
class SessionFormPage:
    """What the form of a sitting shows; without ``session`` it is a new one."""

    page: ProjectPage
    form: forms.Form
    session: BenchSession | None
    back: str
    has_boards: bool


@dataclass(frozen=True)
class SessionPage:
    """What the page of a sitting shows; readings in the order they were taken."""

    page: ProjectPage
    session: BenchSession
    readings: list[Measurement]
    has_more: bool
    evidence: list[Evidence]


@signed_in
def session_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the sittings of a project, newest record first."""
    page = project_page(request, slug, door="bench")
    board, state = request.GET.get("board", ""), request.GET.get("state", "")
    rows = bench_sessions_of(page.project)
    if board:
        rows = rows.filter(boards__serial=board)
    if state:
        rows = rows.filter(ended_at__isnull=state == "open")
    found = newest_first(rows, request.GET.get("after", ""))
    boards = list(page.project.boards.values_list("serial", flat=True))
    return show(
        request, "sessions/list.html", SessionListPage(page, found.rows, found.after, board, boards, state)
    )


@signed_in
def sessions_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the sittings as CSV."""
    page = project_page(request, slug)
    rows = (_csv(session) for session in bench_sessions_of(page.project))
    return csv_answer(f"{slug}-sessions.csv", SESSIONS_HEADER, rows)


def _csv(session: BenchSession) -> tuple[object, ...]:
    return (
        session.pk,
        session.title,
        session.started_at.isoformat(),
        session.ended_at.isoformat() if session.ended_at else "",
        ", ".join(one.get_username() for one in session.people.all()),
        ", ".join(one.serial for one in session.boards.all()),
        ", ".join(one.name for one in session.instruments.all()),
        session.place,
        session.ambient_c,
        session.supply,
        session.firmware,
        session.next_step,
        session.note,
    )


@signed_in
def session_detail(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Show one sitting."""
    page = project_page(request, slug, door="bench")
    session = bench_session_of(page.project, number)
    taken = measurements_of(page.project).filter(bench_session=session)
    readings = list(taken.order_by("taken_at", "recorded_at", "id")[: SHOWN_READINGS + 1])
    has_more = len(readings) > SHOWN_READINGS
    context = SessionPage(page, session, readings[:SHOWN_READINGS], has_more, evidence_of_session(session))
    return show(request, "sessions/detail.html", context)


@signed_in
def session_create(request: HttpRequest, slug: str) -> HttpResponse:
    """Open a sitting; ``?board=`` names the board in hand."""
    page = project_page(request, slug, may="record", door="bench")
    chosen = page.project.boards.filter(serial__in=request.GET.getlist("board"))
    form = SessionForm(
        request.POST or None, initial={"boards": [one.pk for one in chosen]}, project=page.project
    )
    if request.method == "POST" and form.is_valid():
        session = _opened(request, page.project, form)
        if session is not None:
            return redirect(_after_opening(slug, session))
    return show(
        request,
        "sessions/form.html",
        SessionFormPage(
            page, form, None, reverse("bench-door", args=[slug]), has_boards=page.project.boards.exists()
        ),
        status=400 if form.errors else 200,
    )


def _opened(request: HttpRequest, project: Project, form: SessionForm) -> BenchSession | None:
    given = form.cleaned_data
    try:
        return open_bench_session(
            actor=actor_of(request),
            project=project,
            title=given["title"],
            started_at=given["started_at"],
            boards=list(given["boards"]),
            instruments=list(given["instruments"]),
            values=form.values(),
        )
    except DomainError as error:
        add_problems(form, error)
        return None


def _after_opening(slug: str, session: BenchSession) -> str:
    """Lead on to the bench when it is clear which board is in hand."""
    boards = list(session.boards.all())
    if len(boards) == 1:
        return reverse("bench-page", args=[slug, boards[0].serial])
    return reverse("session-detail", args=[slug, session.pk])


@signed_in
def session_edit(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Change a sitting: its notes, its boards, the next step."""
    page = project_page(request, slug, may="record", door="bench")
    session = bench_session_of(page.project, number)
    form = SessionForm(request.POST or None, initial=_values_of(session), project=page.project)
    if request.method == "POST" and form.is_valid() and _changed(request, session, form):
        return redirect("session-detail", slug, number)
    back = reverse("session-detail", args=[slug, number])
    return show(
        request,
        "sessions/form.html",
        SessionFormPage(page, form, session, back, has_boards=True),
        status=400 if form.errors else 200,
    )


def _values_of(session: BenchSession) -> dict[str, object]:
    names = ("title", "firmware", "supply", "ambient_c", "place", "started_at", "note", "next_step")
    return {name: getattr(session, name) for name in names} | {
        "boards": [one.pk for one in session.boards.all()],
        "instruments": [one.pk for one in session.instruments.all()],
    }


def _changed(request: HttpRequest, session: BenchSession, form: SessionForm) -> bool:
    given = form.cleaned_data
    started_at = given["started_at"] or session.started_at
    try:
        change_bench_session(
            actor=actor_of(request),
            session=session,
            values={**form.values(), "title": given["title"], "started_at": started_at},
            boards=list(given["boards"]),
            instruments=list(given["instruments"]),
        )
    except DomainError as error:
        add_problems(form, error)
        return False
    return True


@signed_in
@require_POST
def session_close(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Close a sitting now, keeping the next step written with it."""
    page = project_page(request, slug, may="record", door="bench")
    session = bench_session_of(page.project, number)
    values: dict[str, object] = {"ended_at": session.ended_at or clock.now()}
    if "next_step" in request.POST:
        values["next_step"] = request.POST["next_step"].strip()
    change_bench_session(actor=actor_of(request), session=session, values=values)
    return redirect("session-detail", slug, number)
