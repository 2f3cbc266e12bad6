"""Lessons and what revisions answered to them: the entries of the story that say so."""

from __future__ import annotations

from logbook.findings.queries import finding_named
from logbook.lessons.commands import answer_lesson, record_lesson
from logbook.lessons.queries import lesson_named
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry


def lesson(cast: Cast, entry: Entry) -> None:
    """Write down a lesson on its home project and share it with the site."""
    says = dict(entry.says)
    project = cast.project(entry)
    key, rule, check = says.pop("key"), says.pop("rule"), says.pop("check", None)
    if "finding" in says:
        says["finding"] = finding_named(project, says["finding"])
    record_lesson(
        actor=cast.actor(entry), project=project, key=key, rule=rule, is_shared=True, check=check, values=says
    )


def answers(cast: Cast, entry: Entry) -> None:
    """Answer lessons for a revision."""
    revision = cast.revision(entry, entry.says["label"])
    for key, (word, text) in entry.says["answers"].items():
        answer_lesson(
            actor=cast.actor(entry),
            revision=revision,
            lesson=lesson_named(cast.people[entry.by], key, field="answers"),
            answer=word,
            text=text,
        )
