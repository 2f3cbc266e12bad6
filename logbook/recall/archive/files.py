"""The files of evidence on their way in: checked first, kept last, taken away when in vain."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager

from logbook.common.errors import InvalidInputError
from logbook.evidence import storage
from logbook.evidence.kinds import identified
from logbook.evidence.models import Evidence
from logbook.evidence.storage import Received
from logbook.recall.archive.format import EVIDENCE, evidence_name, refused
from logbook.recall.archive.reading import lines_of
from logbook.recall.archive.records import BY_NAME
from logbook.recall.archive.unpacking import Opened


@contextmanager
def files_in(found: Opened) -> Iterator[list[Received]]:
    """Take in every file of evidence and make sure that each is what its record says; none is kept yet."""
    record = BY_NAME["evidence"]
    taken: dict[str, Received] = {}
    with ExitStack() as stack:
        for where, line in lines_of(found, record.name, record.names):
            name = evidence_name(str(line["sha256"]), str(line["media_type"]))
            if name not in found.members:
                raise refused("its file is not in the archive", where=where, given=name)
            if name not in taken:
                with found.member(name) as stream:
                    taken[name] = stack.enter_context(storage.received(stream))
            _check(taken[name], line, where)
        spare = [name for name in found.members if name.startswith(f"{EVIDENCE}/") and name not in taken]
        if spare:
            raise refused("no record names this file", where=spare[0])
        yield list(taken.values())


def _check(file: Received, line: dict[str, object], where: str) -> None:
    if (file.sha256, file.size) != (line["sha256"], line["size"]):
        raise refused("its file is another one", where=where, given=file.sha256)
    try:
        identified(file.path, wanted=str(line["kind"]))
    except InvalidInputError as error:
        raise refused(error.message, where=where) from error


def keep_all(files: Iterable[Received], kept: list[str]) -> None:
    """Keep files for good, noting those that were not there before."""
    for file in files:
        if not storage.original(file.sha256).exists():
            kept.append(file.sha256)
        storage.keep(file)


def drop(kept: Iterable[str]) -> None:
    """Take away files that came in for nothing; one that somebody else gave meanwhile stays."""
    for sha256 in kept:
        if not Evidence.objects.filter(sha256=sha256).exists():
            storage.original(sha256).unlink(missing_ok=True)
