"""Reading many wide rows of one table.

The framework sends each value of a row through a setter and asks each field for its converters, which
takes longer than reading the row.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TypeVar

from django.db import models
from django.db.models.functions import Cast

from logbook.common.prepared import columns_of, row_of

M = TypeVar("M", bound=models.Model)
Related = Mapping[int, models.Model]


def kept_rows(rows: models.QuerySet[M], **related: Related) -> list[M]:
    """Return the rows of a query as ``list(rows)`` does, without relations selected along. One query.

    ``related`` holds by relation what the rows may refer to, by id; none is asked for again. For models
    without a constructor of their own; no signal tells of the rows.
    """
    model = rows.model
    relations = [
        (field.name, field.attname, related[field.name])
        for field in model._meta.concrete_fields
        if field.name in related
    ]
    made = [row_of(model, values) for values in rows.values_list(*columns_of(model))]
    for row in made:
        row._state.fields_cache = {
            name: known.get(getattr(row, attname)) for name, attname, known in relations
        }
    return made


def moment_text(name: str) -> Cast:
    """Return a moment as text, which ``moment_of`` reads several times faster than the framework."""
    return Cast(name, models.TextField())


def moment_of(text: str) -> datetime:
    """Return a moment read as text: SQLite keeps UTC without saying so, PostgreSQL ends it with +00."""
    return datetime.fromisoformat(text if text.endswith("+00") else f"{text}+00:00")


def flag_number(name: str) -> Cast:
    """Return a yes or no as 1 or 0, which needs no conversion row by row."""
    return Cast(name, models.IntegerField())
