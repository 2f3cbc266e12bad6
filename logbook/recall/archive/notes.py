"""What was written in words, as Markdown, to be read without any program."""

from __future__ import annotations

from logbook.projects.models import Project
from logbook.recall.archive.records.record import Record, text_fields


def note_text(project: Project, record: Record) -> str:
    """Return the notes of a record type as one Markdown text; empty where nobody wrote any."""
    fields = text_fields(record)
    parts = []
    for row in record.rows_of(project).select_related(*_parents(record)).iterator(chunk_size=1_000):
        told = [(one.verbose_name, getattr(row, one.name).strip()) for one in fields]
        if any(text for _, text in told):
            parts.append(f"## {row}\n")
            parts += [f"### {name}\n\n{text}\n" for name, text in told if text]
    return "\n".join([f"# {project.name}: {record.kind}\n", *parts]) if parts else ""


def _parents(record: Record) -> list[str]:
    """Return the rows a row names, which its title may show."""
    return [one.name for one in record.fields if one.is_relation]
