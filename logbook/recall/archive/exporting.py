"""Writing a project to an archive."""

from __future__ import annotations

import json
import os
import tempfile
import zipfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.db import connection, transaction

from logbook.common import clock
from logbook.common.errors import DomainError
from logbook.evidence import storage
from logbook.evidence.models import Evidence
from logbook.projects.models import Project
from logbook.recall.archive.copy.pages import write_copy
from logbook.recall.archive.format import CONTENT, FORMAT, MANIFEST, NOTES, VERSION, data_name, evidence_name
from logbook.recall.archive.lines import Writer, plain, written
from logbook.recall.archive.notes import note_text
from logbook.recall.archive.packing import Packer, content_hash, pieces_of
from logbook.recall.archive.readme import README
from logbook.recall.archive.records import RECORDS
from logbook.recall.archive.records.record import text_fields

Progress = Callable[[int], None]
SOFTWARE = "Board Logbook"
# Percent: the lines, the files of evidence, then the copy that opens in a browser.
LINES, FILES, NOTED, PAGES = 40, 80, 85, 95


@dataclass(frozen=True)
class Exported:
    """What was written."""

    path: Path
    counts: dict[str, int]
    files: int
    content: str


def _no_progress(_percent: int) -> None:
    """Nobody watches."""


def export_project(*, project: Project, path: Path, progress: Progress = _no_progress) -> Exported:
    """Write a project to ``path``; whoever reads there sees a whole archive or none.

    Raises
    ------
    DomainError
        A file of evidence is missing or was altered.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    os.close(handle)
    part = Path(name)
    try:
        with zipfile.ZipFile(part, "w") as archive:
            exported = _written(project, Packer(archive), path, progress)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    progress(100)
    return exported


@contextmanager
def one_moment() -> Iterator[None]:
    """Have every query see the same moment, and keep nobody from writing meanwhile.

    A transaction of the framework would take SQLite's only lock for writing; a plain one only reads.
    """
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("BEGIN")
            try:
                yield
            finally:
                cursor.execute("ROLLBACK")
    else:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield


def _written(project: Project, packer: Packer, path: Path, progress: Progress) -> Exported:
    with one_moment():
        project.refresh_from_db()
        counts = _lines(project, packer)
        rows = Evidence.objects.filter(project=project).order_by("sha256", "pk")
        files = list(rows.values_list("sha256", "media_type", "name"))
    progress(LINES)
    _files(files, packer, progress)
    for record in RECORDS:
        if text_fields(record) and (text := note_text(project, record)):
            packer.add_text(f"{NOTES}/{record.name}.md", text)
    progress(NOTED)
    write_copy(project, packer)
    packer.add_text("README.txt", README.format(name=project.name))
    progress(PAGES)
    content = content_hash(packer.members, CONTENT)
    packer.add(MANIFEST, [_manifest(project, packer, counts, content)])
    return Exported(path, counts, len({sha256 for sha256, *_ in files}), content)


def _lines(project: Project, packer: Packer) -> dict[str, int]:
    writer, counts = Writer(project), {}
    for record in RECORDS:
        lines = (written(line) for line in writer.lines(record))
        counts[record.name] = packer.add(data_name(record.name), lines)
    people = [written({"name": name}) for name in sorted(writer.people)]
    return {**counts, "people": packer.add(data_name("people"), people)}


def _files(files: Sequence[tuple[str, str, str]], packer: Packer, progress: Progress) -> None:
    """Write every file of evidence once, having made sure that it is what was given."""
    for done, (sha256, media_type, name) in enumerate(files, 1):
        member = evidence_name(sha256, media_type)
        if member in packer.members:
            continue
        if not storage.is_intact(sha256):
            message = f"the file of {name} is missing or was altered; `manage.py verify` names all of them"
            raise DomainError(message)
        packer.add(member, pieces_of(storage.original(sha256)), is_packed=False)
        progress(LINES + (FILES - LINES) * done // len(files))


def _manifest(project: Project, packer: Packer, counts: dict[str, int], content: str) -> bytes:
    says = {
        "format": FORMAT,
        "version": VERSION,
        "made_at": plain(clock.now()),
        "made_by": SOFTWARE,
        "project": {"slug": project.slug, "name": project.name},
        "counts": counts,
        "content_sha256": content,
        "members": packer.members,
    }
    return json.dumps(says, ensure_ascii=False, sort_keys=True, indent=1).encode()
