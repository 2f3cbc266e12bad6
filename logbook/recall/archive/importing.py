"""Reading an archive into the site: all of it, or nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from django.db import transaction

from logbook.accounts.models import User
from logbook.common.changes import Actor, note_change
from logbook.projects.choices import Role
from logbook.projects.commands import set_member
from logbook.projects.models import Membership, Project, ProjectStateEvent, Revision
from logbook.recall.archive.files import drop, files_in, keep_all
from logbook.recall.archive.format import refused
from logbook.recall.archive.loading import Loader
from logbook.recall.archive.people import people_here, people_in
from logbook.recall.archive.reading import lines_of
from logbook.recall.archive.records import BY_NAME, RECORDS
from logbook.recall.archive.unpacking import opened
from logbook.recall.archive.working_out import ask_work, check_circles, derive, fill_lessons


@dataclass(frozen=True)
class Imported:
    """What came in; ``remarks`` say what this site has otherwise, or judges otherwise today."""

    project: Project
    counts: Mapping[str, int]
    people: tuple[str, ...]
    remarks: tuple[str, ...]


def import_archive(
    *,
    actor: Actor,
    path: Path | IO[bytes],
    people: Mapping[str, str] | None = None,
    owner: User | None = None,
) -> Imported:
    """Read an archive, as a file or already open, into this site and return what came in.

    ``people`` says which names of the archive are which people of this site; everybody else comes in unable
    to sign in. ``owner`` becomes an owner of the project, so that somebody can see it.

    Raises
    ------
    RefusedArchiveError
        It is damaged, hostile, of a newer version, or does not fit this site; nothing was changed.
    """
    kept: list[str] = []
    with opened(path) as found, files_in(found) as files:
        names = people_in(found)
        try:
            with transaction.atomic():
                loader = Loader(found, people_here(names, people or {}))
                project = _loaded(loader)
                remarks = [*loader.remarks, *derive(project)]
                note_change(project, action="imported", actor=actor, project_id=None, fields={})
                if owner is not None:
                    set_member(actor=actor, project=project, user=owner, role=Role.OWNER)
                ask_work(project)
                keep_all(files, kept)
        except BaseException:
            drop(kept)
            raise
        counts = {record.name: found.says["counts"][record.name] for record in RECORDS}
    return Imported(project, counts, tuple(names), tuple(remarks))


def _loaded(loader: Loader) -> Project:
    """Store all lines, record type after record type."""
    for record in RECORDS:
        if record.name == "projects":
            _load_project(loader)
        else:
            loader.load(record)
    check_circles(loader.own)
    fill_lessons(loader)
    return loader.own


def _load_project(loader: Loader) -> None:
    record = BY_NAME["projects"]
    lines = list(lines_of(loader.found, record.name, record.names))
    if len(lines) != 1 or lines[0][1]["slug"] != loader.found.says["project"].get("slug"):
        raise refused("it holds other projects than the manifest names", where="data/projects.jsonl")
    where, line = lines[0]
    there = Project.objects.filter(slug=str(line["slug"])[:60]).first()
    if there is not None and not is_only_named(there):
        message = f"this site has a project {there.slug!r} already"
        raise refused(message, given=there.slug, allowed="a site without it")
    loader.take_project(record, line, there or Project(), where)
    loader.name_own_project(record, line, where)


def is_only_named(project: Project) -> bool:
    """Say whether a project is here only because another one's archive names it."""
    tables = (Membership, ProjectStateEvent, Revision)
    return not any(table.objects.filter(project=project).exists() for table in tables)
