"""What was decided before ordering a revision, and the files it was ordered with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from hashlib import sha256

from django.db.models import QuerySet

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.evidence.choices import EvidenceKind
from logbook.evidence.models import Evidence
from logbook.planning.models import Order
from logbook.projects.models import Project, Revision


def orders_of(revision: Revision) -> QuerySet[Order]:
    """Return every order record of a revision, oldest first. One query."""
    return Order.objects.filter(revision=revision).select_related("revision", "recorded_by").order_by("id")


def order_of(revision: Revision, number: int) -> Order:
    """Return one order record of a revision."""
    found = orders_of(revision).filter(pk=number).first()
    if found is None:
        message = f"revision {revision} has no order record {number}"
        raise NotFoundError(message)
    return found


def orderable_files(project: Project) -> QuerySet[Evidence]:
    """Return the files of a project that a file set may be made of, newest first. One query."""
    kinds = (EvidenceKind.DOCUMENT, EvidenceKind.GERBER)
    return Evidence.objects.filter(project=project, kind__in=kinds).order_by("-id")


def file_set_hash(files: Iterable[tuple[str, str]]) -> str:
    """Return the SHA-256 of a set of (name, SHA-256), whatever their order.

    It is that of the lines ``sha256sum`` prints, sorted: ``sha256sum * | LC_ALL=C sort | sha256sum`` in a
    folder that holds exactly these files gives the same.
    """
    lines = sorted(f"{digest}  {name}\n" for name, digest in files)
    return sha256("".join(lines).encode()).hexdigest()


def evidence_of_set(project: Project, numbers: Sequence[int]) -> list[Evidence]:
    """Return the files with these numbers, each once. One query."""
    found = {one.pk: one for one in orderable_files(project).filter(pk__in=numbers)}
    unknown = [str(number) for number in numbers if number not in found]
    if unknown:
        message = f"no document or Gerber file here has the number {', '.join(unknown)}"
        raise InvalidInputError.of("files", message, given=", ".join(unknown))
    return [found[number] for number in dict.fromkeys(numbers)]
