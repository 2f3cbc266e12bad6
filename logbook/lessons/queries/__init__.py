"""Reading lessons: which there are, to which revisions they apply, and what was answered."""

from logbook.lessons.queries.lists import (
    check_may_edit,
    lesson_for,
    lesson_named,
    lessons_readable_by,
    may_edit,
    next_key,
)
from logbook.lessons.queries.offered import (
    UNANSWERED,
    OfferedLesson,
    learned_since,
    lessons_answered_on,
    lessons_for,
    unanswered_lessons,
)

__all__ = [
    "UNANSWERED",
    "OfferedLesson",
    "check_may_edit",
    "learned_since",
    "lesson_for",
    "lesson_named",
    "lessons_answered_on",
    "lessons_for",
    "lessons_readable_by",
    "may_edit",
    "next_key",
    "unanswered_lessons",
]
