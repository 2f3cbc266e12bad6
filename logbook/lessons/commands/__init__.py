"""Every write to lessons."""

from logbook.lessons.commands.answering import Becomes, answer_lesson
from logbook.lessons.commands.carrying import add_target_from_lesson, store_check
from logbook.lessons.commands.moving import accept_lesson, replace_lesson, withdraw_lesson
from logbook.lessons.commands.recording import change_lesson, record_lesson

__all__ = [
    "Becomes",
    "accept_lesson",
    "add_target_from_lesson",
    "answer_lesson",
    "change_lesson",
    "record_lesson",
    "replace_lesson",
    "store_check",
    "withdraw_lesson",
]
