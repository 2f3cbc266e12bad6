"""Archives of the invented demo, made once and then read into empty sites."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from logbook.projects.models import Project
from logbook.recall.archive.exporting import export_project
from tests.demo_kept import lay_demo, shared_folder


@pytest.fixture(scope="package")
def demo_archives(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """Return a folder with an archive of each project of the demo; the site itself is empty again."""
    folder = tmp_path_factory.mktemp("archives")
    with django_db_blocker.unblock(), transaction.atomic():
        lay_demo(shared_folder(tmp_path_factory))
        for project in Project.objects.all():
            export_project(project=project, path=folder / f"{project.slug}.zip")
        transaction.set_rollback(True)
    return folder


@pytest.fixture
def empty_disk(settings, tmp_path: Path) -> Path:
    """Return a data folder of its own, where no file of evidence lies yet."""
    folder = tmp_path / "data"
    folder.mkdir()
    settings.LOGBOOK_DATA = folder
    return folder
