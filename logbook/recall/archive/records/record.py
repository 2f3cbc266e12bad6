"""How one table becomes the lines of one file.

A line holds every field of its row but its number in the database. Another row is named by what names it for
people (project, board, target …), or, where nothing does, by its number among the lines of its own file.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db import models
from django.db.models import QuerySet

from logbook.projects.models import Project

NUMBER, OBJECT = "number_in_file", "object"
Rows = Callable[[Project], "QuerySet[Any]"]


@dataclass(frozen=True)
class Record:
    """One record type: the table, which rows are the project's, and what names a row.

    ``path`` leads from the table to the project, or ``rows`` says which rows. Without ``key`` a line is
    numbered. Rows of a ``shared`` type may be on the site already and are then found by their key; those of
    ``parent`` come along only with one that was not. What the fields ``outside`` name is left open where it
    belongs to another project.
    """

    name: str
    model: type[models.Model]
    path: str = ""
    rows: Rows | None = None
    key: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    shared: bool = False
    parent: str = ""
    order: tuple[str, ...] = ("pk",)
    left_out: frozenset[str] = frozenset()
    outside: frozenset[str] = frozenset()
    names_object: bool = False

    def rows_of(self, project: Project) -> QuerySet[Any]:
        """Return the rows of a project, always in the same order."""
        if self.rows is not None:
            return self.rows(project).order_by(*self.order)
        return self.model._default_manager.filter(**{self.path: project}).order_by(*self.order)

    @cached_property
    def fields(self) -> tuple[models.Field[Any, Any], ...]:
        """Return the columns a line holds."""
        left_out = set(self.left_out) | ({"project"} if self.path == "project" else set())
        found = [
            one
            for one in self.model._meta.concrete_fields
            if not one.primary_key and one.name not in left_out and (not self.only or one.name in self.only)
        ]
        return tuple(sorted(found, key=lambda one: one.name))

    @cached_property
    def lists(self) -> tuple[models.ManyToManyField[Any, Any], ...]:
        """Return the lists of other rows a line holds."""
        found = () if self.only else self.model._meta.many_to_many
        return tuple(sorted(found, key=lambda one: one.name))

    @cached_property
    def names(self) -> frozenset[str]:
        """Return the names every line has, no more and no fewer."""
        extra = [] if self.key else [NUMBER]
        extra += [OBJECT] if self.names_object else []
        return frozenset([*extra, *(one.name for one in (*self.fields, *self.lists))])

    @property
    def kind(self) -> str:
        """Return the word the record of changes has for the table."""
        return str(self.model._meta.verbose_name)


def text_fields(record: Record) -> Collection[models.Field[Any, Any]]:
    """Return the fields that hold notes, in Markdown or plain."""
    return [one for one in record.fields if isinstance(one, models.TextField)]
