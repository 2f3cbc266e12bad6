"""The bench page of one board: what is in hand, what is next, and where its reading is entered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.views.decorators.cache import never_cache

from logbook.bench.models import Measurement
from logbook.bench.queries.in_hand import InHand, in_hand
from logbook.bench.queries.lists import measurements_of
from logbook.boards.choices import BoardState
from logbook.boards.models import Board
from logbook.boards.queries import board_of
from logbook.common import clock
from logbook.findings.models import Finding
from logbook.findings.queries import findings_here
from logbook.planning.queries import BenchLine, bench_lines_of
from logbook.projects.models import Project
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.bench import EntryForm, first_fitting, meter_choices, new_key
from logbook.web.rendering import show
from logbook.web.strips import Strip, strip_for
from logbook.web.views.bench_memory import Settings, remembered
from logbook.web.views.bench_now import (
    ListedLine,
    Now,
    check_url,
    following,
    line_of,
    listed,
    next_line,
    now_of,
)

FRAGMENT = "X-Logbook-Fragment"
LONGEST_NUMBER = 19
# A board in one of these states is powered only by somebody who knows why it is there.
HANDLE_WITH_CARE = frozenset(
    {BoardState.REFERENCE, BoardState.QUARANTINED, BoardState.DAMAGED, BoardState.LENT, BoardState.SCRAPPED}
)


@dataclass(frozen=True)
class Result:
    """The reading just recorded, or just withdrawn."""

    measurement: Measurement
    strip: Strip | None
    not_counted: str
    withdraw_url: str


@dataclass(frozen=True)
class BenchPage:
    """What the bench page shows."""

    page: ProjectPage
    board: Board
    hand: InHand
    care: bool
    now: Now | None
    result: Result | None
    form: EntryForm | None
    meters: list[tuple[str, object]]
    upcoming: list[ListedLine]
    everything: list[ListedLine]
    open_count: int
    stopped: tuple[str, ...]
    findings: Sequence[Finding]
    server_time: str


@signed_in
@never_cache
def bench_page(request: HttpRequest, slug: str, serial: str) -> HttpResponse:
    """Show the board in hand and the check that is next, or the one asked for."""
    page = project_page(request, slug, door="bench")
    board = board_of(page.project, serial)
    page = replace(page, revision=board.revision)
    lines = bench_lines_of(board)
    key = request.GET.get("target", "")
    line = line_of(lines, key, request.GET.get("point", "")) if key else next_line(lines)
    last = request.GET.get("last", "")
    return bench_answer(
        request,
        page,
        board,
        lines,
        line,
        last=int(last) if last.isdecimal() and len(last) < LONGEST_NUMBER else None,
    )


def bench_answer(
    request: HttpRequest,
    page: ProjectPage,
    board: Board,
    lines: Sequence[BenchLine],
    line: BenchLine | None,
    *,
    last: int | None = None,
    form: EntryForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """Render the whole page, or only its living part when the page itself asks for that."""
    context = _context(request, page, board, lines, line, last, form)
    if not wants_fragment(request):
        return show(request, "bench/board.html", context, status=status)
    html = render_to_string("bench/_board.html", vars(context), request)
    return HttpResponse(html, status=status, headers={FRAGMENT: "bench"})


def wants_fragment(request: HttpRequest) -> bool:
    """Say whether the page itself asks, for its living part only."""
    return request.headers.get(FRAGMENT) == "bench"


def _context(
    request: HttpRequest,
    page: ProjectPage,
    board: Board,
    lines: Sequence[BenchLine],
    line: BenchLine | None,
    last: int | None,
    form: EntryForm | None,
) -> BenchPage:
    hand = in_hand(board)
    coming = following(lines, line)
    readings = _readings(page.project, [line, *coming], last)
    meters = meter_choices(line.issue, hand.open_session) if line else []
    standing = readings.get(line.found.id) if line and line.found else None
    return BenchPage(
        page=page,
        board=board,
        hand=hand,
        care=board.state in HANDLE_WITH_CARE,
        now=now_of(board, lines, line, standing) if line else None,
        result=_result(board, lines, readings.get(last)) if last else None,
        form=form or (_blank(request, board, line, hand, meters) if line else None),
        meters=meters,
        upcoming=listed(board, coming, line, readings),
        everything=listed(board, lines, line),
        open_count=sum(one.is_open for one in lines),
        stopped=tuple(sorted({key for one in lines if one.is_open for key in one.stop})),
        findings=findings_here(board, line.target) if line else (),
        server_time=clock.now().isoformat(),
    )


def _readings(
    project: Project, lines: Sequence[BenchLine | None], last: int | None
) -> dict[int, Measurement]:
    wanted = {line.found.id for line in lines if line and line.found} | ({last} if last else set())
    rows = measurements_of(project).filter(pk__in=wanted) if wanted else []
    return {row.pk: row for row in rows}


def _blank(
    request: HttpRequest, board: Board, line: BenchLine, hand: InHand, meters: list[tuple[str, object]]
) -> EntryForm:
    """Return the empty entry form with what was chosen before."""
    settings = remembered(request, board, line.issue.unit)
    if settings is None:
        settings = Settings(meter=first_fitting(meters, hand.open_session))
    return EntryForm(
        initial={
            "target": line.target.key,
            "point": line.point,
            "bench_session": hand.open_session.pk if hand.open_session else None,
            "key": new_key(),
            "meter": settings.meter,
            "expanded_uncertainty": settings.expanded_uncertainty,
            "coverage_factor": settings.coverage_factor,
        }
    )


def _result(board: Board, lines: Sequence[BenchLine], measurement: Measurement | None) -> Result | None:
    if measurement is None or measurement.board_id != board.pk:
        return None
    line = next((one for one in lines if one.found and one.found.id == measurement.pk), None)
    strip = None
    if measurement.issue is not None:
        strip = strip_for(measurement.issue, measurement=measurement, sisters=line.sisters if line else ())
    return Result(
        measurement=measurement,
        strip=strip,
        not_counted=line.not_counted if line else "",
        withdraw_url=check_url(board, line) if line else "",
    )
