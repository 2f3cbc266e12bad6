"""The lessons offered for a revision, each with its newest answer. Who looks makes no difference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db.models import Q

from logbook.lessons.choices import STANDING, AnswerWord, LessonState
from logbook.lessons.models import Lesson, LessonAnswer
from logbook.lessons.queries.applying import design_of, match_of
from logbook.lessons.queries.lists import with_state
from logbook.projects.models import Revision

UNANSWERED = "unanswered"


@dataclass(frozen=True)
class OfferedLesson:
    """One lesson that applies to a revision: why, the answer that counts, or one that does not (any more)."""

    lesson: Lesson
    state: str
    why: str
    subsystems: tuple[str, ...]
    answered: LessonAnswer | None
    earlier: LessonAnswer | None = None

    @property
    def key(self) -> str:
        """Return its key."""
        return self.lesson.key

    @property
    def firmness(self) -> str:
        """Return how firm it is: must, should or consider."""
        return self.lesson.firmness

    @property
    def learned_on(self) -> date:
        """Return the day it was learned."""
        return self.lesson.learned_on

    @property
    def answer(self) -> str:
        """Return the word of the newest answer, or *unanswered*."""
        return self.answered.answer if self.answered else UNANSWERED

    @property
    def said_before(self) -> str:
        """Return an earlier answer that does not count here, and why not; empty without one."""
        if self.earlier is None:
            return ""
        if (change := self.earlier.change) is not None:
            return f"{self.earlier.answer}, its change {change} was withdrawn"
        return f"{self.earlier.answer}, said on {self.earlier.revision.label}: {self.earlier.text}"

    @property
    def is_binding(self) -> bool:
        """Say whether an answer is owed: nobody owes one to a mere proposal."""
        return self.state == LessonState.ACCEPTED

    @property
    def is_left_undone(self) -> bool:
        """Say whether it is knowingly not followed, or still to be done."""
        return self.answer in {AnswerWord.OVERRULED, AnswerWord.TO_DO}


def lessons_for(revision: Revision, *, until: datetime | None = None) -> tuple[OfferedLesson, ...]:
    """Return the lessons that apply to a revision, the firmest first, today or at a past moment.

    Offered are lessons of the project itself and those shared with the site. A past moment knows their
    states, sharing and answers of then, and the characteristics and subsystems of today. Four queries, one
    without a lesson.
    """
    own_or_shared = Q(project=revision.project_id) | (
        Q(shared_at__lte=until) if until else Q(shared_at__isnull=False)
    )
    known = with_state(Lesson.objects.filter(own_or_shared), until).filter(state__in=STANDING)
    rows = list(known.select_related("project", "carried_check").order_by("rank", "key"))
    if not rows:
        return ()
    design = design_of(revision.project)
    answers, earlier = _answers(revision, until)
    offered = []
    for row in rows:
        match = match_of(row, design)
        if match is not None:
            given, before = answers.get(row.pk), earlier.get(row.pk)
            offered.append(OfferedLesson(row, row.state, match.why, match.subsystems, given, before))
    return tuple(offered)


def lessons_answered_on(
    revision: Revision, offered: Sequence[OfferedLesson], *, until: datetime | None = None
) -> tuple[OfferedLesson, ...]:
    """Return lessons offered for another revision of the project with the answers of this one. One query."""
    answers, earlier = _answers(revision, until)
    return tuple(
        replace(one, answered=answers.get(one.lesson.pk), earlier=earlier.get(one.lesson.pk))
        for one in offered
    )


def newest_answers(revision: Revision, until: datetime | None = None) -> dict[int, LessonAnswer]:
    """Return the answer that counts for each lesson a revision answered, by its id. One query."""
    return _answers(revision, until)[0]


def _answers(
    revision: Revision, until: datetime | None
) -> tuple[dict[int, LessonAnswer], dict[int, LessonAnswer]]:
    """Return the answers that count, and those that do not, each by the id of its lesson. One query.

    Not counted are one whose change was withdrawn, and a *to do* of the parent that became no change.
    """
    rows = LessonAnswer.objects.filter(revision__in=[revision.pk, revision.parent_id or revision.pk])
    if until is not None:
        rows = rows.filter(at__lte=until)
    own: dict[int, LessonAnswer] = {}
    earlier: dict[int, LessonAnswer] = {}
    for row in rows.select_related("by", "change", "revision").order_by("at", "id"):
        if row.revision_id == revision.pk:
            own[row.lesson_id] = row
        else:
            earlier[row.lesson_id] = row
    earlier = {pk: row for pk, row in earlier.items() if row.answer == AnswerWord.TO_DO and not row.change_id}
    fallen = {pk: row for pk, row in own.items() if _is_dropped(row, until)}
    counting = {pk: row for pk, row in own.items() if pk not in fallen}
    return counting, {pk: row for pk, row in (earlier | fallen).items() if pk not in counting}


def _is_dropped(answer: LessonAnswer, until: datetime | None) -> bool:
    """Say whether the change of an answer was withdrawn by then."""
    gone = answer.change.withdrawn_at if answer.change else None
    return gone is not None and (until is None or gone <= until)


def unanswered_lessons(revision: Revision, *, until: datetime | None = None) -> tuple[OfferedLesson, ...]:
    """Return the accepted lessons a revision still owes an answer. Four queries."""
    return tuple(row for row in lessons_for(revision, until=until) if row.is_binding and row.answered is None)


def learned_since(revision: Revision, offered: tuple[OfferedLesson, ...]) -> tuple[OfferedLesson, ...]:
    """Return those learned after a revision was drawn; all of them where no day of it is known."""
    day = day_of_design(revision)
    return tuple(row for row in offered if day is None or row.learned_on > day)


def day_of_design(revision: Revision) -> date | None:
    """Return the day the design stood: drawn, or else ordered."""
    return revision.drawn_on or revision.ordered_on
