"""The return brief as a whole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from logbook.bench.models import BenchSession
from logbook.boards.models import Board
from logbook.boards.queries import BoardFacts, timelines_now
from logbook.common import clock
from logbook.evidence.notes import items_of
from logbook.lessons.queries import OfferedLesson, learned_since, lessons_answered_on
from logbook.planning.models import Disposition
from logbook.planning.queries import RevisionBenchPlan, RiskRow, bench_plan_of
from logbook.planning.queries.bench_plan import AlreadyRead
from logbook.planning.queries.days import end_of, entered_later
from logbook.planning.queries.decided import Matter, dispositions_in
from logbook.planning.queries.open_findings import KnownFinding
from logbook.planning.queries.results import past_results_with_homes
from logbook.planning.queries.risks import risks_in
from logbook.planning.queries.standing import Standing, standing_at_moment
from logbook.planning.queries.stress import tests_first_in
from logbook.planning.queries.target_risks import TargetRisks, target_risks_in
from logbook.projects.models import Project, Revision
from logbook.projects.queries import Shelving, shelving_of
from logbook.recall.return_brief.boards import BoardThen, boards_then
from logbook.recall.return_brief.connectors import ConnectorThen, connectors_then
from logbook.recall.return_brief.dangers import Danger, dangers_of
from logbook.recall.return_brief.instruments import Instruments, instruments_then
from logbook.recall.return_brief.lines import Revisions, revisions_known
from logbook.recall.return_brief.open_ends import OpenEnds, open_ends_of
from logbook.recall.return_brief.proof import Proof, proof_of
from logbook.recall.return_brief.steps import FirstStep, board_to_take, first_steps_of
from logbook.recall.return_brief.written import steps_written

HOUR = 60


@dataclass(frozen=True)
class LastDay:
    """The last sitting, and the next step as it was written down last."""

    session: BenchSession | None
    next_step_in: BenchSession | None
    is_open: bool


@dataclass(frozen=True)
class LessonsThen:
    """Lessons the newest revision is asked: learned since the built one was drawn, and still unanswered."""

    since: tuple[OfferedLesson, ...]
    owed: tuple[OfferedLesson, ...]


@dataclass(frozen=True)
class ReturnBrief:
    """Where a project stands, today or at the end of a past day. ``plan`` is there only for today."""

    project: Project
    as_of: date | None
    entered_later: int
    shelving: Shelving
    last_day: LastDay
    revisions: Revisions
    boards: tuple[BoardThen, ...]
    connectors: tuple[ConnectorThen, ...]
    proof: Proof | None
    ends: OpenEnds
    instruments: Instruments
    lessons: LessonsThen
    dangers: tuple[Danger, ...]
    first_steps: tuple[FirstStep, ...]
    plan: RevisionBenchPlan | None

    @property
    def steps_left_over(self) -> bool:
        """Say whether the note has next steps that are not among the first steps."""
        shown = {one.says for one in self.first_steps if one.is_written}
        return self.shelving.note is not None and not set(items_of(self.shelving.note.next_steps)) <= shown

    @property
    def next_step_is_new(self) -> bool:
        """Say whether the last session's next step tells more than the note."""
        note, session = self.shelving.note, self.last_day.next_step_in
        told = set(items_of(note.next_steps)) if note else set()
        return session is not None and not set(items_of(session.next_step)) <= told

    @property
    def never_verified(self) -> tuple[str, ...]:
        """Return the keys of the targets that were never verified on any revision."""
        return tuple(one.target.key for one in self.proof.never_verified) if self.proof else ()


def return_brief_of(project: Project, *, as_of: date | None = None) -> ReturnBrief:
    """Return where a project stands. Some sixty queries, whatever the number of boards and targets.

    What is proved is said of the newest revision of which there was a board, what is open of the newest.
    """
    until = end_of(as_of) if as_of else None
    known = boards_then(project, until)
    boards = known.boards
    revisions = revisions_known(project, [one.board for one in boards], until)
    built = revisions.built
    connectors = connectors_then(project, _whole(boards), known.facts, revisions.descent.lines, until)
    ends = open_ends_of(revisions, until)
    past = past_results_with_homes(project, [*revisions.descent.labels], until) if built and until else None
    standing = standing_at_moment(built, until, descent=revisions.descent, past=past) if built else None
    found = target_risks_in(standing) if standing else None
    risks = risks_in(standing, found, *_shared(ends, standing)) if standing else ()
    plan = None
    if built and until is None:
        plan = bench_plan_of(
            built, minutes=HOUR, read=_read_already(built, boards, known.facts, found, risks)
        )
    shelving = shelving_of(project, until)
    last_day = _last_day(project, until)
    return ReturnBrief(
        project=project,
        as_of=as_of,
        entered_later=entered_later([line.revision.pk for line in revisions.lines], until) if until else 0,
        shelving=shelving,
        last_day=last_day,
        revisions=revisions,
        boards=boards,
        connectors=connectors,
        proof=proof_of(standing, risks, past) if standing else None,
        ends=ends,
        instruments=instruments_then(project, until),
        lessons=_lessons(revisions, standing, until),
        dangers=dangers_of(
            shelving.note, revisions, boards, connectors, ends, standing, board_to_take(boards, built)
        ),
        first_steps=first_steps_of(
            built,
            boards,
            risks,
            standing.targets if standing else {},
            steps_written(shelving.note, last_day.session),
        ),
        plan=plan,
    )


def _shared(
    ends: OpenEnds, standing: Standing
) -> tuple[Sequence[KnownFinding] | None, dict[Matter, Disposition] | None]:
    """Return the findings and decisions of the built revision where those of the newest hold them."""
    newest = ends.revision
    if newest is None or not set(standing.line) <= set(standing.descent.lines[newest.pk]):
        return None, None
    decided = dispositions_in(ends.decisions, standing.line, standing.until)
    return (ends.findings if newest.pk == standing.revision.pk else None), decided


def _read_already(
    built: Revision,
    boards: Sequence[BoardThen],
    facts: BoardFacts,
    found: TargetRisks | None,
    risks: Sequence[RiskRow],
) -> AlreadyRead | None:
    """Return what the bench plan need not read once more."""
    if found is None:
        return None
    here = [one.board for one in boards if one.board.revision_id == built.pk]
    return AlreadyRead(found, here, timelines_now(here, facts), tests_first_in(risks, built))


def _whole(boards: Sequence[BoardThen]) -> list[Board]:
    return [one.board for one in boards if one.state != "scrapped"]


def _last_day(project: Project, until: datetime | None) -> LastDay:
    moment = until or clock.now()
    rows = BenchSession.objects.filter(project=project, started_at__lte=moment)
    sessions = list(rows.order_by("-started_at", "-id"))
    last = next(iter(sessions), None)
    is_open = last is not None and (last.ended_at is None or last.ended_at > moment)
    return LastDay(last, next((one for one in sessions if one.next_step), None), is_open)


def _lessons(revisions: Revisions, standing: Standing | None, until: datetime | None) -> LessonsThen:
    if revisions.newest is None or revisions.built is None or standing is None:
        return LessonsThen((), ())
    if revisions.newest.pk == revisions.built.pk:
        offered = standing.lessons
    else:
        offered = lessons_answered_on(revisions.newest, standing.lessons, until=until)
    owed = tuple(one for one in offered if one.is_binding and one.answered is None)
    return LessonsThen(learned_since(revisions.built, offered), owed)
