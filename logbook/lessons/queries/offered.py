"""The lessons offered for a revision, each with its newest answer. Who looks makes no difference."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from logbook.lessons.choices import STANDING, AnswerWord, LessonState
from logbook.lessons.models import Lesson, LessonAnswer
from logbook.lessons.queries.applying import Match, design_of, match_of
from logbook.lessons.queries.lists import with_state
from logbook.projects.models import Revision

UNANSWERED = "unanswered"


@dataclass(frozen=True)
class OfferedLesson:
    """One lesson that applies to a revision: why, and what was answered last."""

    lesson: Lesson
    state: str
    why: str
    subsystems: tuple[str, ...]
    answered: LessonAnswer | None

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
    states, sharing and answers of then, and the characteristics and subsystems of today. Four queries.
    """
    own_or_shared = Q(project=revision.project_id) | (
        Q(shared_at__lte=until) if until else Q(shared_at__isnull=False)
    )
    design = design_of(revision.project)
    answers = newest_answers(revision, until)
    rows = with_state(Lesson.objects.filter(own_or_shared), until).filter(state__in=STANDING)
    offered = []
    for row in rows.select_related("project", "carried_check").order_by("rank", "key"):
        match = match_of(row, design)
        if match is not None:
            offered.append(_offered(row, row.state, match, answers.get(row.pk)))
    return tuple(offered)


def _offered(lesson: Lesson, state: str, match: Match, answer: LessonAnswer | None) -> OfferedLesson:
    return OfferedLesson(lesson, state, match.why, match.subsystems, answer)


def newest_answers(revision: Revision, until: datetime | None = None) -> dict[int, LessonAnswer]:
    """Return the answer that counts for each lesson a revision answered, by its id. One query."""
    rows = LessonAnswer.objects.filter(revision=revision).select_related("by", "change")
    if until is not None:
        rows = rows.filter(at__lte=until)
    return {row.lesson_id: row for row in rows.order_by("at", "id")}


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
