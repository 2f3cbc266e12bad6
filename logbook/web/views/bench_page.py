"""The bench page of one board: what is in hand, what is next, and where its reading is entered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.views.decorators.cache import never_cache

from logbook.bench.models import Measurement
from logbook.bench.queries.calibration import CalibrationFlag, calibration_flag
from logbook.bench.queries.in_hand import InHand, in_hand
from logbook.bench.queries.lists import measurements_of
from logbook.boards.choices import BoardState
from logbook.boards.models import Board
from logbook.boards.queries import board_of, state_notes_of
from logbook.common import clock
from logbook.core.quantities import unit_named
from logbook.findings.models import Finding
from logbook.findings.queries import findings_here
from logbook.planning.queries import BenchLine, bench_lines_of
from logbook.projects.models import Project
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.bench import EntryForm, first_fitting, meter_choices, meters_at_hand, new_key
from logbook.web.rendering import show
from logbook.web.strips import Strip, strip_for
from logbook.web.views.bench_memory import FORGET, Stated, remembered_meter, stated_before
from logbook.web.views.bench_now import (
    ListedLine,
    Now,
    check_url,
    following,
    line_named_in,
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
    calibration: CalibrationFlag | None
    withdraw_url: str


@dataclass(frozen=True)
class Meters:
    """The instruments offered for a reading in one unit, and the one chosen before."""

    unit: str
    base: str
    choices: list[tuple[str, Any]]
    chosen: str


@dataclass(frozen=True)
class BenchPage:
    """What the bench page shows."""

    page: ProjectPage
    board: Board
    hand: InHand
    care: bool
    state_note: str
    now: Now | None
    result: Result | None
    form: EntryForm | None
    meters: Meters | None
    meters_next: list[Meters]
    kept_uncertainty: str
    forget_url: str
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
    hand = in_hand(board)
    line = line_of(lines, key, request.GET.get("point", "")) if key else _first_line(hand, lines)
    last = request.GET.get("last", "")
    return bench_answer(
        request,
        page,
        hand,
        lines,
        line,
        last=int(last) if last.isdecimal() and len(last) < LONGEST_NUMBER else None,
    )


def _first_line(hand: InHand, lines: Sequence[BenchLine]) -> BenchLine | None:
    """Return where the last sitting meant to go on, otherwise the first open check."""
    next_step = hand.session.next_step if hand.session else ""
    return line_named_in(lines, next_step) or next_line(lines)


def bench_answer(
    request: HttpRequest,
    page: ProjectPage,
    hand: InHand,
    lines: Sequence[BenchLine],
    line: BenchLine | None,
    *,
    last: int | None = None,
    form: EntryForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """Render the whole page, or only its living part when the page itself asks for that."""
    context = _context(request, page, hand, lines, line, last, form)
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
    hand: InHand,
    lines: Sequence[BenchLine],
    line: BenchLine | None,
    last: int | None,
    form: EntryForm | None,
) -> BenchPage:
    board = hand.board
    coming = following(lines, line)
    readings = _readings(page.project, [line, *coming], last)
    units = dict.fromkeys(one.issue.unit for one in ([line] if line else []) + coming)
    meters = {one.unit: one for one in _meters(request, hand, units)}
    stated = _stated(request, hand, line) if line and form is None else Stated()
    standing = readings.get(line.found.id) if line and line.found else None
    return BenchPage(
        page=page,
        board=board,
        hand=hand,
        care=board.state in HANDLE_WITH_CARE,
        state_note=state_notes_of([board])[board.pk] if board.state in HANDLE_WITH_CARE else "",
        now=now_of(board, lines, line, standing) if line else None,
        result=_result(board, lines, readings.get(last)) if last else None,
        form=form or (_blank(line, hand, meters[line.issue.unit], stated) if line else None),
        meters=meters[line.issue.unit] if line else None,
        meters_next=list(meters.values()),
        kept_uncertainty=stated.in_words(line.issue.unit) if line and stated.expanded_uncertainty else "",
        forget_url=check_url(board, line, **{FORGET: "uncertainty"}) if line else "",
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


def _meters(request: HttpRequest, hand: InHand, units: Iterable[str]) -> Iterator[Meters]:
    """Return the instruments for each unit: also those of the checks that follow without the network."""
    usable = meters_at_hand(hand.open_session)
    for unit in units:
        choices = meter_choices(unit, usable)
        before = remembered_meter(request, hand.board, unit)
        chosen = first_fitting(choices, hand.open_session) if before is None else before
        yield Meters(unit, unit_named(unit).base, choices, chosen)


def _stated(request: HttpRequest, hand: InHand, line: BenchLine) -> Stated:
    bench_session = hand.open_session.pk if hand.open_session else None
    return stated_before(request, hand.board, line, bench_session) or Stated()


def _blank(line: BenchLine, hand: InHand, meters: Meters, stated: Stated) -> EntryForm:
    """Return the empty entry form with what was chosen before."""
    return EntryForm(
        initial={
            "target": line.target.key,
            "point": line.point,
            "bench_session": hand.open_session.pk if hand.open_session else None,
            "key": new_key(),
            "meter": meters.chosen,
            "expanded_uncertainty": stated.expanded_uncertainty,
            "coverage_factor": stated.coverage_factor,
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
        calibration=calibration_flag(measurement),
        withdraw_url=check_url(board, line) if line else "",
    )
