"""``/lessons/`` of the whole site, and ``/projects/{slug}/revisions/{label}/lessons/``."""

from __future__ import annotations

from collections import Counter
from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.parameters import day_asked
from api.schema import PAGED, described, paged
from api.shapes import checked
from api.v1.lesson_shapes import (
    AnswerNew,
    AnswerShown,
    LessonChange,
    LessonDetailShown,
    LessonMove,
    LessonNew,
    LessonShown,
    LessonTargetShown,
    OfferedLessonsShown,
    TargetFromLesson,
    answer_shown,
    detail_of,
    offered_shown,
)
from api.views import LogbookView
from logbook.common.errors import InvalidInputError
from logbook.findings.queries import finding_named
from logbook.lessons.choices import LessonState
from logbook.lessons.commands import (
    Becomes,
    accept_lesson,
    add_target_from_lesson,
    answer_lesson,
    change_lesson,
    record_lesson,
    replace_lesson,
    withdraw_lesson,
)
from logbook.lessons.queries import (
    check_may_edit,
    lesson_for,
    lesson_named,
    lessons_for,
    lessons_readable_by,
    next_key,
)
from logbook.lessons.queries.lists import FILTERS, answers_to, life_of, predecessors_of
from logbook.planning.queries.days import end_of
from logbook.projects.models import Project
from logbook.projects.queries import revision_named, revision_of, subsystem_named

OFFERED_FILTERS = ("moment", "firmness", "discipline", "answer")


class LessonView(LogbookView):
    """What every view of a lesson answers with."""

    def answer(self, name: str) -> dict[str, Any]:
        """Return one lesson as this person may read it."""
        lesson = lesson_for(self.person, name)
        return detail_of(lesson, life_of(lesson), predecessors_of(lesson, self.person))


class LessonList(LessonView):
    """The lessons of the site."""

    @described("lessons_list", paged(LessonShown), parameters=(*PAGED, *FILTERS))
    def get(self, request: Request) -> Response:
        """Return the lessons this person may read, by key; ``state`` may also be *standing*."""
        refuse_unknown_parameters(request, (*PAGED, *FILTERS))
        asked = {name: request.query_params.get(name, "") for name in FILTERS}
        rows = lessons_readable_by(self.person, asked)
        return Response(page_of(rows, request, key="key").shown(lambda row: LessonShown(row).data))

    @described("lessons_create", LessonDetailShown, sends=LessonNew, status=201)
    def post(self, request: Request) -> Response:
        """Record a lesson; it is accepted, and read by its project alone, where nothing else is said."""
        given = checked(LessonNew, request.data)
        project = self.project(given.pop("project"))
        replaces = [lesson_named(self.person, one, field="replaces") for one in given.pop("replaces", [])]
        for old in replaces:
            check_may_edit(self.person, old)
        lesson = record_lesson(
            actor=self.actor,
            project=project,
            key=given.pop("key", "") or next_key(project),
            rule=given.pop("rule"),
            state=given.pop("state", LessonState.ACCEPTED),
            is_shared=given.pop("shared", False),
            replaces=replaces,
            check=given.pop("check", None),
            values=_with_finding(project, given),
        )
        return Response(self.answer(lesson.key), status=201)


class LessonDetail(LessonView):
    """One lesson, by its key or its id."""

    @described("lessons_read", LessonDetailShown)
    def get(self, request: Request, name: str) -> Response:
        """Return the lesson."""
        return Response(self.answer(name))

    @described("lessons_change", LessonDetailShown, sends=LessonChange)
    def patch(self, request: Request, name: str) -> Response:
        """Change what is told of it; what it asks only while it is proposed."""
        lesson = lesson_for(self.person, name)
        check_may_edit(self.person, lesson)
        given = checked(LessonChange, request.data, partial=True)
        shared = given.pop("shared", None)
        values = _with_finding(lesson.project, given)
        change_lesson(actor=self.actor, lesson=lesson, values=values, is_shared=shared)
        return Response(self.answer(name))


class LessonMoves(LessonView):
    """States of a lesson."""

    @described("lessons_move", LessonDetailShown, sends=LessonMove, status=201)
    def post(self, request: Request, name: str) -> Response:
        """Accept, withdraw or supersede the lesson."""
        lesson = lesson_for(self.person, name)
        check_may_edit(self.person, lesson)
        given = checked(LessonMove, request.data)
        to, note, other = given["to"], given.get("note", ""), given.get("superseded_by", "")
        if other and to != LessonState.SUPERSEDED:
            raise InvalidInputError.of("superseded_by", f"a step to {to} takes none", given=other)
        if to == LessonState.ACCEPTED:
            accept_lesson(actor=self.actor, lesson=lesson, note=note)
        elif to == LessonState.WITHDRAWN:
            withdraw_lesson(actor=self.actor, lesson=lesson, note=note)
        else:
            successor = lesson_named(self.person, other, field="superseded_by")
            replace_lesson(actor=self.actor, lesson=lesson, successor=successor, note=note)
        return Response(self.answer(name), status=201)


class LessonAnswers(LogbookView):
    """Answers to a lesson."""

    @described("lesson_answers_list", paged(AnswerShown), parameters=PAGED)
    def get(self, request: Request, name: str) -> Response:
        """Return what revisions answered, on projects of this person."""
        refuse_unknown_parameters(request, PAGED)
        rows = answers_to(lesson_for(self.person, name), self.person)
        return Response(page_of(rows, request, key="id").shown(answer_shown))

    @described("lesson_answers_create", AnswerShown, sends=AnswerNew, status=201)
    def post(self, request: Request, name: str) -> Response:
        """Answer for a revision; *to do* becomes a planned change of it."""
        lesson = lesson_for(self.person, name)
        given = checked(AnswerNew, request.data)
        project = self.project(given["project"])
        answer = answer_lesson(
            actor=self.actor,
            revision=revision_named(project, given["revision"]),
            lesson=lesson,
            answer=given["answer"],
            text=given["text"],
            becomes=_becomes(project, given["change"]) if "change" in given else None,
        )
        return Response(answer_shown(answer), status=201)


class LessonTargets(LogbookView):
    """Targets made from the check a lesson carries."""

    @described("lesson_targets_create", LessonTargetShown, sends=TargetFromLesson, status=201)
    def post(self, request: Request, name: str) -> Response:
        """Make a target of a project from the check."""
        lesson = lesson_for(self.person, name)
        given = checked(TargetFromLesson, request.data)
        project = self.project(given.pop("project"))
        subsystem = subsystem_named(project, given.pop("subsystem"))
        target = add_target_from_lesson(actor=self.actor, lesson=lesson, subsystem=subsystem, **given)
        shown = {"lesson": lesson.key, "project": project.slug, "target": target.key}
        return Response(shown, status=201)


class OfferedLessons(LogbookView):
    """Lessons that apply to a revision."""

    @described("revision_lessons", OfferedLessonsShown, parameters=(*OFFERED_FILTERS, "as_of"))
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return them with the reason and the newest answer; ``answer`` may also be *unanswered*."""
        refuse_unknown_parameters(request, (*OFFERED_FILTERS, "as_of"))
        revision = revision_of(self.project(slug), label)
        day = day_asked(request)
        shown = offered_shown(lessons_for(revision, until=end_of(day) if day else None))
        asked = {name: request.query_params.get(name, "") for name in OFFERED_FILTERS}
        rows = [row for row in shown if all(not word or row[name] == word for name, word in asked.items())]
        head = {"project": slug, "revision": revision.label, "as_of": day}
        return Response(head | {"counts": Counter(row["answer"] for row in rows), "rows": rows})


def _with_finding(project: Project, given: dict[str, Any]) -> dict[str, Any]:
    """Return the values with the finding in place of its key; an empty one is none."""
    if "finding" not in given:
        return given
    key = given["finding"]
    return given | {"finding": finding_named(project, key) if key else None}


def _becomes(project: Project, given: dict[str, Any]) -> Becomes:
    names = given.pop("subsystems", [])
    subsystems = [subsystem_named(project, one, field="change.subsystems") for one in names]
    return Becomes(**given, subsystems=subsystems)
