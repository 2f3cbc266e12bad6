"""The report of a revision: what is proved, what was read, what was found and what was decided."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django import forms

from logbook.accounts.models import User
from logbook.boards.models import Board
from logbook.boards.queries import boards_of, differences_of
from logbook.findings.models import Finding
from logbook.findings.queries import findings_of
from logbook.planning.queries import Coverage, HeldDisposition, RiskRow, coverage_of, open_risks_of
from logbook.projects.models import Revision
from logbook.projects.queries import subsystem_needs, subsystems_of
from logbook.recall.reports.queries import Imprint, imprint_of
from logbook.web.access import ProjectPage
from logbook.web.coverage_rows import BoardsAtHand, SubsystemGroup, groups_of
from logbook.web.coverage_summary import StateCount, state_counts
from logbook.web.forms.fields import DayField
from logbook.web.reports.board_plots import BoardPlots, board_plots
from logbook.web.reports.session import BoardLine
from logbook.web.reviewing import asked_of
from logbook.web.risk_rows import SEVERITY_WORDS, LevelCount, level_counts, percent_text

NOWHERE = BoardsAtHand(benches={}, pages={}, add_url="")


class ReportDayForm(forms.Form):
    """The day a report is of."""

    as_of = DayField(label="As it stood on")


@dataclass(frozen=True)
class RiskLine:
    """An open risk in print."""

    row: RiskRow
    percent: str
    severity_words: str
    held: HeldDisposition | None


@dataclass(frozen=True)
class RevisionReport:
    """What the report of a revision shows; without ``coverage`` the day could not be read."""

    page: ProjectPage
    revision: Revision
    form: forms.Form
    coverage: Coverage | None
    counts: Sequence[StateCount]
    plots: BoardPlots
    groups: Sequence[SubsystemGroup]
    levels: Sequence[LevelCount]
    risks: Sequence[RiskLine]
    findings: Sequence[Finding]
    boards: Sequence[BoardLine]
    imprint: Imprint


def revision_report_of(
    page: ProjectPage, revision: Revision, user: User, asked: Mapping[str, Any]
) -> RevisionReport:
    """Gather the report of a revision, now or as it stood at the end of a day."""
    project = page.project
    form = ReportDayForm(asked)
    coverage = asked_of(form, lambda day: coverage_of(revision, as_of=day))
    risks = asked_of(form, lambda day: open_risks_of(revision, as_of=day)) if coverage else None
    subsystems = list(subsystems_of(project))
    rows = coverage.rows if coverage else ()
    return RevisionReport(
        page=replace(page, revision=revision),
        revision=revision,
        form=form,
        coverage=coverage,
        counts=state_counts(coverage.counts) if coverage else (),
        plots=board_plots(rows),
        groups=groups_of(project, subsystems, subsystem_needs(project), rows, NOWHERE),
        levels=level_counts(risks.rows) if risks else (),
        risks=[_risk(row) for row in risks.rows] if risks else [],
        findings=list(findings_of(project, {"revision": revision.label})),
        boards=_boards(page, revision),
        imprint=imprint_of(project, user),
    )


def _risk(row: RiskRow) -> RiskLine:
    return RiskLine(row, percent_text(row.probability), SEVERITY_WORDS[row.severity], row.disposition)


def _boards(page: ProjectPage, revision: Revision) -> list[BoardLine]:
    boards: list[Board] = list(boards_of(page.project, revision=revision.label))
    differences = differences_of(boards)
    return [BoardLine(board, differences[board.pk]) for board in boards]
