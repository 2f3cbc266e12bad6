"""Reading lessons. Who may read one is decided here: members of its home project, all once it is shared."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, TypedDict

from django.db.models import Case, IntegerField, OuterRef, Q, QuerySet, Subquery, Value, When

from logbook.accounts.models import User
from logbook.bench.models import Target
from logbook.common.errors import InvalidInputError, NotAllowedError, NotFoundError
from logbook.findings.models import Finding
from logbook.lessons.choices import STANDING, Firmness
from logbook.lessons.models import Lesson, LessonAnswer, LessonEvent, LessonTarget
from logbook.projects.choices import MAY
from logbook.projects.models import Membership, Project, Subsystem
from logbook.projects.queries import role_of

LARGEST_ID = 2**63 - 1
FILTERS = ("project", "discipline", "moment", "firmness", "state", "text")
STANDS = "standing"


class Derived(TypedDict):
    """What is derived of a lesson: its state, and the place of its firmness."""

    state: str
    rank: int


if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    Known = WithAnnotations[Lesson, Derived]


def with_state(lessons: QuerySet[Lesson], until: datetime | None = None) -> QuerySet[Known]:
    """Add the state of each lesson, today or at a past moment; no further query."""
    events = LessonEvent.objects.filter(lesson=OuterRef("pk"))
    if until is not None:
        events = events.filter(at__lte=until)
    rank = Case(
        *(When(firmness=word, then=Value(place)) for place, word in enumerate(Firmness.values)),
        default=Value(len(Firmness.values)),
        output_field=IntegerField(),
    )
    latest = Subquery(events.order_by("-at", "-id").values("state")[:1])
    return lessons.annotate(state=latest).annotate(rank=rank)


def projects_of(user: User) -> QuerySet[Membership]:
    """Return the ids of the projects a person belongs to, for use inside a query."""
    return Membership.objects.filter(user=user).values("project_id")  # type: ignore[return-value]


def readable_by(user: User) -> QuerySet[Lesson]:
    """Return the lessons a person may read."""
    return Lesson.objects.filter(Q(shared_at__isnull=False) | Q(project__in=projects_of(user)))


def lessons_readable_by(user: User, filters: Mapping[str, str] | None = None) -> QuerySet[Known]:
    """Return the lessons a person may read, what stands and is firm first. One query.

    ``filters`` may hold text, project, discipline, moment, firmness and state (a state, or *standing*).
    """
    asked = {name: text for name, text in (filters or {}).items() if text}
    found = with_state(readable_by(user)).select_related("project", "finding", "recorded_by", "carried_check")
    if "text" in asked:
        text = asked["text"]
        words = Q(key__icontains=text) | Q(rule__icontains=text)
        found = found.filter(words | Q(what_happened__icontains=text) | Q(why__icontains=text))
    if asked.get("state") == STANDS:
        found = found.filter(state__in=STANDING)
    elif "state" in asked:
        found = found.filter(state=asked["state"])
    if "project" in asked:
        found = found.filter(project__slug=asked["project"])
    for name in ("discipline", "moment", "firmness"):
        if name in asked:
            found = found.filter(**{name: asked[name]})
    standing = Case(When(state__in=STANDING, then=Value(0)), default=Value(1), output_field=IntegerField())
    return found.order_by(standing, "rank", "key")


def lesson_for(user: User, name: str) -> Known:
    """Return a lesson by its key or number, with its state. One query.

    Who may not read it gets the same "not found" as for one that does not exist.
    """
    is_number = name.isascii() and name.isdecimal() and int(name[:20]) <= LARGEST_ID
    wanted = Q(pk=int(name)) if is_number else Q(key=name)
    found = lessons_readable_by(user).filter(wanted).first()
    if found is None:
        message = f"no lesson {name[:60]!r} that you may read"
        raise NotFoundError(message)
    return found


def lesson_named(user: User, name: str, *, field: str) -> Known:
    """Return the lesson a write names."""
    try:
        return lesson_for(user, name)
    except NotFoundError as error:
        raise InvalidInputError.of(field, error.message, given=name, allowed="such as SLK-L1") from error


def may_edit(user: User, lesson: Lesson) -> bool:
    """Say whether a person may change a lesson: owners and editors of its home project. One query."""
    return "edit" in MAY.get(role_of(user, lesson.project), ())


def check_may_edit(user: User, lesson: Lesson) -> None:
    """Refuse who may only read a lesson."""
    if not may_edit(user, lesson):
        message = f"only an owner or editor of the home project of {lesson} may change it"
        raise NotAllowedError(message)


def projects_edited_by(user: User) -> QuerySet[Project]:
    """Return the projects whose lessons a person may write. One query."""
    editing = [role for role, allowed in MAY.items() if "edit" in allowed]
    return Project.objects.filter(memberships__user=user, memberships__role__in=editing).order_by(
        "name", "id"
    )


def subsystems_edited_by(user: User) -> QuerySet[Subsystem]:
    """Return the subsystems for which a person may make targets. One query."""
    rows = Subsystem.objects.filter(project__in=projects_edited_by(user).order_by().values("pk"))
    return rows.select_related("project").order_by("project__name", "position", "key")


def next_key(project: Project) -> str:
    """Return the key the next lesson of a project may take: SLK-L1, SLK-L2, and so on. One query."""
    stem = f"{(project.code or project.slug).upper()[:20]}-L"
    taken = set(Lesson.objects.filter(key__startswith=stem).values_list("key", flat=True))
    number = len(taken) + 1
    while f"{stem}{number}" in taken:
        number += 1
    return f"{stem}{number}"


def state_of(lesson: Lesson) -> str:
    """Return the state of a lesson. One query."""
    return LessonEvent.objects.filter(lesson=lesson).latest("at", "id").state


def life_of(lesson: Lesson) -> list[LessonEvent]:
    """Return every state of a lesson, oldest first. One query."""
    return list(LessonEvent.objects.filter(lesson=lesson).select_related("recorded_by", "superseded_by"))


def predecessors_of(lesson: Lesson, user: User) -> list[Lesson]:
    """Return the lessons a lesson replaced, as far as the person may read them. One query."""
    return list(readable_by(user).filter(events__superseded_by=lesson).order_by("key"))


def successors_offered(lesson: Lesson, user: User) -> QuerySet[Known]:
    """Return the standing lessons that may replace one: all who read it may read them. One query."""
    able = Q(shared_at__isnull=False)
    if lesson.shared_at is None:
        able |= Q(project=lesson.project_id)
    return lessons_readable_by(user, {"state": STANDS}).filter(able).exclude(pk=lesson.pk).order_by("key")


def answers_to(lesson: Lesson, user: User) -> QuerySet[LessonAnswer]:
    """Return where a lesson was answered and how, newest first, on projects of the person. One query."""
    return (
        LessonAnswer.objects.filter(lesson=lesson, revision__project__in=projects_of(user))
        .select_related("lesson", "revision__project", "by", "change")
        .order_by("-at", "-id")
    )


def targets_from(lesson: Lesson, user: User) -> list[Target]:
    """Return the targets made from a lesson's check, on projects of the person. One query."""
    links = LessonTarget.objects.filter(lesson=lesson, target__project__in=projects_of(user))
    return [link.target for link in links.select_related("target__project").order_by("id")]


def lessons_of(finding: Finding, user: User) -> list[Lesson]:
    """Return the lessons learned from a finding. One query."""
    return list(readable_by(user).filter(finding=finding).order_by("key"))
