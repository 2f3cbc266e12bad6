"""The published schema: what a line of each record type looks like, as JSON Schema 2020-12."""

from __future__ import annotations

from typing import Any

from django.db import models

from logbook.accounts.models import User
from logbook.recall.archive.format import FORMAT, VERSION
from logbook.recall.archive.naming import record_of
from logbook.recall.archive.records import RECORDS, Record
from logbook.recall.archive.records.record import NUMBER, OBJECT

DIALECT = "https://json-schema.org/draft/2020-12/schema"
MOMENT = {"type": "string", "format": "date-time"}
SHA256 = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
TYPES: tuple[tuple[type[models.Field[Any, Any]], dict[str, Any]], ...] = (
    (models.DateTimeField, MOMENT),
    (models.DateField, {"type": "string", "format": "date"}),
    (models.BooleanField, {"type": "boolean"}),
    (models.FloatField, {"type": "number"}),
    (models.IntegerField, {"type": "integer"}),
    (models.JSONField, {}),
    (models.CharField, {"type": "string"}),
    (models.TextField, {"type": "string"}),
)


def schema_of(record: Record) -> dict[str, Any]:
    """Return the schema of the lines of a record type."""
    properties = {one.name: _field(one) for one in record.fields}
    properties |= {
        one.name: {"type": "array", "items": _named(one.related_model), "uniqueItems": True}
        for one in record.lists
    }
    if not record.key:
        properties[NUMBER] = {"type": "integer", "minimum": 1, "description": "counts the lines of this file"}
    if record.names_object:
        properties[OBJECT] = {"description": "the name, in its own file, of what was changed; or null"}
    named = " and ".join(record.key) if record.key else NUMBER
    return {
        "$schema": DIALECT,
        "title": record.name,
        "description": f"{_about(record)} Other lines name it by {named}.",
        "type": "object",
        "additionalProperties": False,
        "required": sorted(properties),
        "properties": dict(sorted(properties.items())),
    }


def _about(record: Record) -> str:
    return (record.model.__doc__ or "").strip().split("\n")[0]


def _field(field: models.Field[Any, Any]) -> dict[str, Any]:
    if field.is_relation:
        return _or_null(_named(field.related_model), is_null=field.null)
    found = dict(next(says for kind, says in TYPES if isinstance(field, kind)))
    if field.max_length and isinstance(field, models.CharField):
        found["maxLength"] = field.max_length
    if field.choices:
        found["enum"] = [*dict(field.flatchoices), *([""] if field.blank else [])]
    return _or_null(found, is_null=field.null)


def _or_null(schema: dict[str, Any], *, is_null: bool) -> dict[str, Any]:
    return {"anyOf": [schema, {"type": "null"}]} if is_null else schema


def _named(model: Any) -> dict[str, Any]:
    """Return what a name of another row looks like."""
    if model is User:
        return {"type": "string", "description": "a name of people.jsonl"}
    record = record_of(model)
    says = f"a line of {record.name}.jsonl"
    if not record.key:
        return {"type": "integer", "minimum": 1, "description": says}
    if len(record.key) > 1:
        return {
            "type": "array",
            "minItems": len(record.key),
            "maxItems": len(record.key),
            "description": says,
        }
    part = record.model._meta.get_field(record.key[0])
    return _named(part.related_model) if part.is_relation else {"type": "string", "description": says}


def manifest_schema() -> dict[str, Any]:
    """Return the schema of the manifest."""
    member = {
        "type": "object",
        "required": ["sha256", "size"],
        "properties": {"sha256": SHA256, "size": {"type": "integer"}},
    }
    return {
        "$schema": DIALECT,
        "title": "manifest",
        "type": "object",
        "required": [
            "format",
            "version",
            "made_at",
            "made_by",
            "project",
            "counts",
            "content_sha256",
            "members",
        ],
        "properties": {
            "format": {"const": FORMAT},
            "version": {"const": VERSION},
            "made_at": MOMENT,
            "made_by": {"type": "string"},
            "project": {"type": "object", "required": ["slug", "name"]},
            "counts": {"type": "object", "additionalProperties": {"type": "integer", "minimum": 0}},
            "content_sha256": SHA256,
            "members": {"type": "object", "additionalProperties": member},
        },
    }


def whole_schema() -> dict[str, Any]:
    """Return one document that holds the schema of the manifest and of every record type."""
    people = {
        "title": "people",
        "type": "object",
        "additionalProperties": False,
        "required": ["name"],
        "properties": {"name": {"type": "string", "maxLength": 150}},
    }
    return {
        "$schema": DIALECT,
        "title": f"{FORMAT}, version {VERSION}",
        "$defs": {
            "manifest": manifest_schema(),
            "people": people,
            **{record.name: schema_of(record) for record in RECORDS},
        },
    }
