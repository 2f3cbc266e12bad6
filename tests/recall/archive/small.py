"""A small project with an archive of it, quickly made."""

from __future__ import annotations

import io
from pathlib import Path

from django.db import transaction

from logbook.evidence.commands import add_evidence
from logbook.recall.archive.exporting import export_project
from tests.builders import build_bench


def small_archive(path: Path) -> Path:
    """Write an archive of a small project, and leave the site as it was."""
    with transaction.atomic():
        bench = build_bench()
        bench.target("RLD-1", "11..13 V")
        bench.target(needs=["RLD-1"])
        bench.read("12.1", "RLD-1")
        bench.read("3.3")
        text = io.BytesIO(b"a note that was scanned\n")
        add_evidence(actor=bench.actor, project=bench.project, name="note.txt", stream=text)
        export_project(project=bench.project, path=path)
        transaction.set_rollback(True)
    return path
