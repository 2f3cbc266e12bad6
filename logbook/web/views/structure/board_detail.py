"""A board: what it is, where it has been, what was done to it and how its options stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.bench.queries.reworks import ReworkLine, rework_lines
from logbook.boards.choices import ReworkIntent
from logbook.boards.models import Board, BoardEvent, OptionSetting, Rework
from logbook.boards.queries import (
    STATE_WARNINGS,
    ConnectorTruth,
    board_of,
    connector_truths,
    differences_of,
    events_of,
    option_settings_of,
    reworks_of,
    setting_runs,
    state_notes_of,
)
from logbook.findings.models import Finding
from logbook.findings.queries import findings_of_board
from logbook.projects.models import Option, OptionPosition
from logbook.projects.queries import connectors_of, options_of
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.rendering import show


@dataclass(frozen=True)
class OptionLine:
    """An option of the project as it stands on one board, and since when it has without a break."""

    option: Option
    now: OptionSetting | None
    since: datetime | None
    designed: OptionPosition | None
    is_recorded: bool

    @property
    def is_off_design(self) -> bool:
        """Say whether the board was found in another position than its drawing asks for."""
        return self.now is not None and self.is_recorded and self.now.position != self.designed


@dataclass(frozen=True)
class BoardDetailPage:
    """What a board's page shows."""

    page: ProjectPage
    board: Board
    differs: Sequence[str]
    events: Sequence[BoardEvent]
    reworks: Sequence[ReworkLine]
    to_drawing: Sequence[Rework]
    options: Sequence[OptionLine]
    settings: Sequence[OptionSetting]
    findings: Sequence[Finding]
    connectors: Sequence[ConnectorTruth]
    warning: str
    state_note: str


@signed_in
@require_safe
def board_detail(request: HttpRequest, slug: str, serial: str) -> HttpResponse:
    """Show a board."""
    frame = project_page(request, slug)
    board = board_of(frame.project, serial)
    settings = list(option_settings_of(board))
    reworks = list(reworks_of(board))
    context = BoardDetailPage(
        page=frame,
        board=board,
        differs=differences_of([board])[board.pk],
        events=list(events_of(board)),
        reworks=rework_lines(reworks),
        to_drawing=[one for one in reworks if _brought_to_drawing(one)],
        options=_option_lines(board, settings, list(options_of(frame.project))),
        settings=settings,
        findings=list(findings_of_board(board)),
        connectors=connector_truths([board], list(connectors_of(frame.project))),
        warning=STATE_WARNINGS.get(board.state, ""),
        state_note=state_notes_of([board])[board.pk],
    )
    return show(request, "boards/detail.html", context)


def _brought_to_drawing(rework: Rework) -> bool:
    return bool(rework.intent == ReworkIntent.TO_DRAWING and rework.in_force_until is None)


def _option_lines(
    board: Board, settings: Sequence[OptionSetting], options: Sequence[Option]
) -> list[OptionLine]:
    now = {setting.option_id: setting for setting in settings if setting.in_force_until is None}
    runs = setting_runs([board])
    lines = []
    for option in options:
        rows = [row for row in option.designed_positions.all() if row.revision_id == board.revision_id]
        designed = rows[0].position if rows else None
        run = runs.get((board.pk, option.pk))
        since = run.since if run else None
        lines.append(OptionLine(option, now.get(option.pk), since, designed, bool(rows)))
    return lines
