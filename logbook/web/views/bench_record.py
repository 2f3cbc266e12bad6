"""Recording one reading from the bench page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from logbook.bench.commands import record_reading
from logbook.bench.models import Measurement
from logbook.bench.queries.in_hand import in_hand
from logbook.boards.models import Board
from logbook.boards.queries import board_of
from logbook.common.errors import ConflictError, DomainError
from logbook.planning.queries import BenchLine, bench_lines_of
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.bench import EntryForm, new_key
from logbook.web.forms.fields import add_problems
from logbook.web.views.bench_memory import Stated, remember
from logbook.web.views.bench_now import check_url, line_of, next_line
from logbook.web.views.bench_page import bench_answer, wants_fragment

STATUS_OF_REFUSAL = 422
# Where the living part sent by itself would stand, for the browser's address line.
ADDRESS = "X-Logbook-Address"


@signed_in
@require_POST
def bench_record(request: HttpRequest, slug: str, serial: str) -> HttpResponse:
    """Record the reading and lead on to the next check; a refusal keeps everything typed."""
    page = project_page(request, slug, may="record", door="bench")
    board = board_of(page.project, serial)
    lines = bench_lines_of(board)
    form = EntryForm(request.POST)
    line = line_of(lines, request.POST.get("target", ""), request.POST.get("point", ""))
    measurement = _recorded(request, form, board, line) if form.is_valid() else None
    if measurement is None:
        refused = replace(page, revision=board.revision)
        return bench_answer(
            request, refused, in_hand(board), lines, line, form=form, status=STATUS_OF_REFUSAL
        )
    if line is not None:
        _remember(request, board, line, form)
    return _onward(request, replace(page, revision=board.revision), board, measurement)


def _recorded(
    request: HttpRequest, form: EntryForm, board: Board, line: BenchLine | None
) -> Measurement | None:
    """Record the reading; none when it was refused and the form says why."""
    if line is not None and line.stop and not form.cleaned_data["despite_stop"]:
        form.add_error(
            "despite_stop",
            f"{', '.join(line.stop)} failed on this board. Tick “Record anyway” to keep the reading; it will "
            "say that it was taken while that stood at fail, and will not count as designed.",
        )
        return None
    if line is not None and form.ask_about_slip(line.issue):
        return None
    try:
        recorded = record_reading(actor=actor_of(request), item=form.reading(board.project, board))
    except ConflictError as error:
        fresh = request.POST.copy()
        fresh["key"] = new_key()
        form.data = fresh
        add_problems(form, error)
        form.add_error(None, "Press Record again to keep this as a reading of its own.")
        return None
    except DomainError as error:
        _add_problems(form, error)
        return None
    return recorded.measurement


def _add_problems(form: EntryForm, error: DomainError) -> None:
    """Show the problems; those of the instrument's fields stand at the field that holds both."""
    add_problems(form, error)
    for problem in error.problems:
        if problem.field in {"instrument", "instrument_range"}:
            form.add_error("meter", problem.message)


def _remember(request: HttpRequest, board: Board, line: BenchLine, form: EntryForm) -> None:
    given = form.cleaned_data
    remember(
        request,
        board,
        line,
        meter=given["meter"],
        stated=Stated(given["expanded_uncertainty"], given["coverage_factor"]),
        bench_session=given["bench_session"],
    )


def _onward(request: HttpRequest, page: ProjectPage, board: Board, measurement: Measurement) -> HttpResponse:
    """Lead on to the next check, with the reading just recorded above it.

    The page itself gets its living part at once; a browser without JavaScript is sent there.
    """
    lines = bench_lines_of(board)
    following = next_line(lines, _line_read(lines, measurement))
    address = _address(board, following, measurement)
    if not wants_fragment(request):
        return redirect(address)
    answer = bench_answer(request, page, in_hand(board), lines, following, last=measurement.pk)
    answer[ADDRESS] = address
    return answer


def _line_read(lines: Sequence[BenchLine], measurement: Measurement) -> BenchLine | None:
    place = (measurement.target_id, measurement.point)
    return next((line for line in lines if (line.target.pk, line.point) == place), None)


def _address(board: Board, following: BenchLine | None, measurement: Measurement) -> str:
    if following is not None:
        return check_url(board, following, last=measurement.pk)
    address = reverse("bench-page", args=[board.project.slug, board.serial])
    return f"{address}?{urlencode({'last': measurement.pk})}"
