"""One line of a timeline, and where lines of one kind come from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import DateField, F, Model, QuerySet
from django.db.models.functions import TruncDate
from django.urls import reverse
from django.utils import timezone

from logbook.projects.models import Project


@dataclass(frozen=True)
class Line:
    """Something that happened; ``at`` is a day where no hour is known, ``picture`` a photo's address."""

    kind: str
    at: datetime | date
    title: str
    url: str
    note: str = ""
    verdict: str = ""
    picture: str = ""

    @property
    def day(self) -> date:
        """Return the day in the zone of the site."""
        return timezone.localtime(self.at).date() if isinstance(self.at, datetime) else self.at

    @property
    def hour(self) -> str:
        """Return the time of day; empty where none is on record."""
        return f"{timezone.localtime(self.at):%H:%M}" if isinstance(self.at, datetime) else ""


@dataclass(frozen=True)
class Source:
    """Lines of one kind: rows of a project, the field that says when, and a line from a row."""

    kind: str
    rows: Callable[[Project], QuerySet[Any]]
    when: str
    line: Callable[[Project, Any], Line]

    def with_day(self, project: Project) -> QuerySet[Any]:
        """Return the rows with the day each belongs to."""
        rows = self.rows(project).filter(**{f"{self.when}__isnull": False}).order_by()
        dated: QuerySet[Any] = rows.annotate(day=day_of(rows, self.when))
        return dated


def day_of(rows: QuerySet[Any], when: str) -> F | TruncDate:
    """Return the day of a field, in the zone of the site where it is a moment."""
    table: type[Model] = rows.model
    if when in rows.query.annotations:
        return TruncDate(when)
    return F(when) if type(table._meta.get_field(when)) is DateField else TruncDate(when)


def address(page: str, project: Project, *rest: object) -> str:
    """Return the address of a page of the project."""
    return reverse(page, args=[project.slug, *rest])
