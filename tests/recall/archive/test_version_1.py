"""The frozen sample of version 1 is read for ever. All of it is invented."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.management import call_command

from logbook.bench.models import Measurement
from logbook.boards.models import Board, Rework
from logbook.evidence.models import Evidence
from logbook.evidence.storage import is_intact
from logbook.findings.models import Finding
from logbook.lessons.models import Lesson
from logbook.projects.models import Project, ShelvingNote
from logbook.recall.archive.importing import is_only_named

SAMPLE = Path(__file__).resolve().parents[3] / "fixtures" / "archive" / "v1" / "saltlark.zip"
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("empty_disk")]


def test_the_sample_of_version_1_is_read(capsys) -> None:
    call_command("import_archive", str(SAMPLE))
    assert "note:" not in capsys.readouterr().out
    project = Project.objects.get(slug="saltlark")
    assert is_only_named(Project.objects.get(slug="heronbar"))
    assert list(Board.objects.filter(project=project).values_list("serial", flat=True)) == [
        f"000{number}" for number in range(1, 7)
    ]
    assert Rework.objects.get(board__serial="0006", key="RW-09").subsystems.get().key == "COM"
    assert Finding.objects.filter(project=project).count() == 19
    assert Lesson.objects.filter(answers__revision__project=project).exists()
    assert ShelvingNote.objects.get(event__project=project).next_steps == "Invented: open the drawer."
    assert all(is_intact(sha256) for sha256 in Evidence.objects.values_list("sha256", flat=True))
    call_command("verify")
    assert "everything agrees" in capsys.readouterr().out


def test_a_reading_keeps_what_was_typed_and_how_it_was_judged() -> None:
    """Board 0006, target RLD-2 of the demo, the one the bench script of README.md posts again."""
    call_command("import_archive", str(SAMPLE))
    readings = Measurement.objects.filter(board__serial="0006", target__key="RLD-2", withdrawn_at=None)
    reading = readings.get()
    assert (reading.unit, reading.verdict) == ("V", "pass")
    assert reading.instrument is not None
    assert reading.recorded_by is not None
    assert reading.recorded_by.is_active is False
