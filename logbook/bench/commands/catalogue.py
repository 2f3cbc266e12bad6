"""Resolves the natural keys of a batch of readings, in one query per kind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.db.models import QuerySet

from logbook.accounts.models import User
from logbook.bench.commands.reading import ReadingInput
from logbook.bench.commands.stored import Resolved
from logbook.bench.models import BenchSession, Instrument, Target, TargetIssue
from logbook.bench.queries.yardstick import Yardstick, yardstick_for
from logbook.boards.models import Board
from logbook.common.errors import InvalidInputError, NotAllowedError, NotFoundError
from logbook.common.prepared import Prepared, columns_of, given, ids_given, listed, row_of, texts_given
from logbook.projects.choices import MAY, with_article
from logbook.projects.models import Project
from logbook.projects.queries import lineages

MOST_NAMED = 20


@dataclass
class Lines(Mapping[int, tuple[int, ...]]):
    """The lineages of a project, read when an issue is meant for one revision. One query."""

    project: Project

    @cached_property
    def _found(self) -> Mapping[int, tuple[int, ...]]:
        return lineages(self.project)

    def __getitem__(self, revision_id: int) -> tuple[int, ...]:
        return self._found[revision_id]

    def __iter__(self) -> Iterator[int]:
        return iter(self._found)

    def __len__(self) -> int:
        return len(self._found)


@dataclass(frozen=True)
class Catalogue:
    """Everything a batch of readings names."""

    projects: Mapping[str, tuple[Project, str]]
    boards: Mapping[tuple[int, str], Board]
    targets: Mapping[tuple[int, str], Target]
    instruments: Mapping[str, Instrument]
    sessions: Mapping[int, BenchSession]
    yardsticks: Mapping[int, Yardstick]
    known: dict[tuple[str, str], str] = field(default_factory=dict)
    resolved: dict[tuple[object, ...], Resolved] = field(default_factory=dict)

    def resolve(self, item: ReadingInput, user: User | None) -> Resolved:
        """Return what a reading names; readings that name the same are looked up once.

        Raises
        ------
        DomainError
            Naming what does not exist, or may not be recorded on.
        """
        named = (item.project, item.board, item.target, item.instrument, item.bench_session)
        found = self.resolved.get(named)
        if found is None:
            found = self.resolved[named] = self._resolve(item, user)
        return found

    def _resolve(self, item: ReadingInput, user: User | None) -> Resolved:
        project = self.project(item.project)
        board = self.board(project, item.board)
        target = self.target(project, item.target) if item.target else None
        issue = self._issue_for(project, target, board) if target is not None else None
        check_point(item, issue)
        session = self.session(project, item.bench_session)
        return Resolved(project, board, target, issue, self.instrument(item.instrument), session, user)

    def _issue_for(self, project: Project, target: Target, board: Board) -> TargetIssue:
        issue = self.yardsticks[project.pk].in_force(target.pk, board.revision_id)
        if issue is None:
            message = f"{target.key} has no issue meant for the revision of board {board.serial}"
            raise InvalidInputError.of("target", message, given=target.key)
        return issue

    @property
    def revisions(self) -> dict[int, int]:
        """Return the revision of each board, by id."""
        return {board.pk: board.revision_id for board in self.boards.values()}

    def project(self, slug: str) -> Project:
        """Return the project if this person may record on it."""
        found = self.projects.get(slug)
        if found is None:
            message = f"no project {slug!r} that you are a member of"
            raise NotFoundError(message)
        project, role = found
        if "record" not in MAY[role]:
            message = (
                f"{with_article(role)} may not record readings on {slug!r}; ask an owner for another role"
            )
            raise NotAllowedError(message)
        return project

    def board(self, project: Project, serial: str) -> Board:
        """Return the board, or name the serials there are."""
        found = self.boards.get((project.pk, serial))
        if found is None:
            raise self._unknown("board", serial, project.boards.order_by("serial").values_list("serial"))
        return found

    def target(self, project: Project, key: str) -> Target:
        """Return the target, or name some of the keys there are."""
        found = self.targets.get((project.pk, key))
        if found is None:
            raise self._unknown("target", key, project.targets.order_by("key").values_list("key"))
        return found

    def instrument(self, name: str) -> Instrument | None:
        """Return the instrument; none when none was named."""
        if not name:
            return None
        found = self.instruments.get(name)
        if found is None:
            raise self._unknown("instrument", name, Instrument.objects.order_by("name").values_list("name"))
        return found

    def session(self, project: Project, number: int | None) -> BenchSession | None:
        """Return the bench session of this project; none when none was named."""
        if number is None:
            return None
        found = self.sessions.get(number)
        if found is None or found.project_id != project.pk:
            message = f"no bench session {number} on {project.slug}"
            raise InvalidInputError.of("bench_session", message, given=number)
        return found

    def _unknown(self, kind: str, given: str, rows: QuerySet[Any, tuple[str]]) -> InvalidInputError:
        """Return the error that names some of what there is; looked up once, however many are wrong."""
        place = (kind, str(rows.query))
        if place not in self.known:
            names = [name for (name,) in rows[: MOST_NAMED + 1]]
            more = ", …" if len(names) > MOST_NAMED else ""
            self.known[place] = ", ".join(names[:MOST_NAMED]) + more or "none yet"
        return InvalidInputError.of(
            kind, f"no {kind} {given!r} here", given=given, allowed=self.known[place], code="unknown"
        )


def check_point(item: ReadingInput, issue: TargetIssue | None) -> None:
    """Refuse a point the target does not have, and a loose reading that does not say where it was taken."""
    if issue is None:
        if not item.place and not item.note:
            message = "a reading without a target says where it was taken: give a place or a note"
            raise InvalidInputError.of("target", message, allowed="a target, a place or a note")
        if item.point:
            raise InvalidInputError.of("point", "only a target has points", given=item.point)
        return
    if item.point not in issue.points:
        allowed = ", ".join(point or "(none)" for point in issue.points)
        raise InvalidInputError.of(
            "point", f"{item.target} has no point {item.point!r}", given=item.point, allowed=allowed
        )


def catalogue_for(user: User, items: Sequence[ReadingInput], *, locking: bool = False) -> Catalogue:
    """Look up everything ``items`` name. One query a kind, and two a project.

    ``locking`` keeps the boards to this transaction, so that two writers derive one after the other.
    """
    projects = {}
    for *row, role in _PROJECTS.rows(user.pk, listed({item.project for item in items})):
        project = row_of(Project, row)
        projects[project.slug] = (project, role)
    ids = listed(project.pk for project, _ in projects.values())
    serials = listed({item.board for item in items})
    boards = [row_of(Board, row) for row in (_LOCKED_BOARDS if locking else _BOARDS).rows(ids, serials)]
    keys = listed({item.target for item in items if item.target})
    targets = [row_of(Target, row) for row in _TARGETS.rows(ids, keys)]
    sessions = {item.bench_session for item in items if item.bench_session is not None}
    instruments = {item.instrument for item in items if item.instrument}
    return Catalogue(
        projects=projects,
        boards={(board.project_id, board.serial): board for board in boards},
        targets={(target.project_id, target.key): target for target in targets},
        instruments=_instruments_named(instruments) if instruments else {},
        sessions={row.pk: row for row in BenchSession.objects.filter(pk__in=sessions)} if sessions else {},
        yardsticks={
            project.pk: yardstick_for(
                [target.pk for target in targets if target.project_id == project.pk], Lines(project)
            )
            for project, _ in projects.values()
        },
    )


def _instruments_named(names: set[str]) -> dict[str, Instrument]:
    found = Instrument.objects.filter(name__in=names).prefetch_related("ranges")
    return {row.name: row for row in found}


def _boards() -> QuerySet[Board]:
    return Board.objects.filter(project_id__among=ids_given(0), serial__among=texts_given(1)).order_by("pk")


_PROJECTS = Prepared(
    lambda: (
        Project.objects.filter(memberships__user_id=given(0), slug__among=texts_given(1))
        .order_by()
        .values_list(*columns_of(Project), "memberships__role")
    )
)
_BOARDS = Prepared(lambda: _boards().values_list(*columns_of(Board)))
_LOCKED_BOARDS = Prepared(lambda: _boards().select_for_update().values_list(*columns_of(Board)))
_TARGETS = Prepared(
    lambda: (
        Target.objects.filter(project_id__among=ids_given(0), key__among=texts_given(1))
        .order_by()
        .values_list(*columns_of(Target))
    )
)
