"""What was written comes back: the whole demo, there and back again, is the same."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from django.core.management import call_command

from logbook.accounts.models import User
from logbook.bench.models import CurrentResult, Measurement
from logbook.common.changes import Actor
from logbook.projects.models import Membership, Project
from logbook.recall.archive.exporting import export_project
from logbook.recall.archive.format import CONTENT
from logbook.recall.archive.importing import import_archive

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("empty_disk")]
NOBODY = Actor(None, "command")
PROJECTS = ("heronbar", "saltlark")
SAMPLE = Path(__file__).resolve().parents[3] / "fixtures" / "archive" / "v1" / "saltlark.zip"


def content(path: Path) -> dict[str, bytes]:
    """Return the members two archives of the same project have in common, byte for byte."""
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist() if name.startswith(CONTENT)}


@pytest.mark.parametrize("order", [PROJECTS, PROJECTS[::-1]], ids=["ancestor first", "ancestor last"])
def test_the_demo_comes_back_byte_for_byte(demo_archives: Path, tmp_path: Path, order) -> None:
    remarks = []
    for slug in order:
        remarks += import_archive(actor=NOBODY, path=demo_archives / f"{slug}.zip").remarks
    for slug in order:
        again = tmp_path / f"{slug}.zip"
        export_project(project=Project.objects.get(slug=slug), path=again)
        before, after = content(demo_archives / f"{slug}.zip"), content(again)
        assert before.keys() == after.keys()
        assert [name for name in before if before[name] != after[name]] == []
    assert remarks == []


def test_the_sample_of_another_database_comes_back_byte_for_byte(tmp_path: Path) -> None:
    """The sample was written by SQLite; read into whatever database the tests run on, it is the same."""
    project = import_archive(actor=NOBODY, path=SAMPLE).project
    export_project(project=project, path=tmp_path / "again.zip")
    before, after = content(SAMPLE), content(tmp_path / "again.zip")
    assert [name for name in before if before[name] != after.get(name)] == []
    assert before.keys() == after.keys()


def test_what_is_derived_agrees_with_the_readings_that_came_in(demo_archives: Path, capsys) -> None:
    import_archive(actor=NOBODY, path=demo_archives / "saltlark.zip")
    call_command("verify")
    assert "everything agrees" in capsys.readouterr().out
    assert CurrentResult.objects.count() > 100


def test_nobody_who_came_in_can_sign_in(demo_archives: Path) -> None:
    import_archive(actor=NOBODY, path=demo_archives / "saltlark.zip")
    assert {user.username for user in User.objects.all()} == {"iv", "tl", "wh"}
    assert not any(user.is_active or user.has_usable_password() for user in User.objects.all())


def test_people_of_this_site_are_who_they_were_said_to_be(demo_archives: Path) -> None:
    here = User.objects.create_user("ivar", password="a long test password")
    import_archive(actor=NOBODY, path=demo_archives / "saltlark.zip", people={"iv": "ivar"}, owner=here)
    assert Membership.objects.get(user=here, project__slug="saltlark").role == "owner"
    assert Measurement.objects.filter(recorded_by=here).exists()
