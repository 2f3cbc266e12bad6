"""The command that loads the demo, on sites where it must not."""

from __future__ import annotations

import pytest
from django.core.management import CommandError, call_command

from logbook.accounts.models import User
from logbook.common.errors import InvalidInputError
from logbook.projects.models import Project
from logbook.recall.demo.story import FOLDER, entries_of, moment_of, story


@pytest.mark.django_db
def test_it_refuses_a_site_that_uses_one_of_its_names() -> None:
    User.objects.create_user("wh", password="a long test password")
    with pytest.raises(CommandError, match="already uses names of the demo: wh"):
        call_command("load_demo")
    assert not Project.objects.exists()


def test_the_story_runs_from_opening_to_the_day_it_ends() -> None:
    entries = story()
    assert [entry.at for entry in entries] == sorted(entry.at for entry in entries)
    assert entries[0].at >= moment_of("2020-06-08 00:00")
    assert entries[-1].at < moment_of("2024-11-15 00:00")


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.json")), ids=lambda path: path.name)
def test_every_file_says_that_it_is_invented(path) -> None:
    assert '"about": "All of this is invented' in path.read_text(encoding="utf-8")


def test_an_entry_without_a_moment_is_named(tmp_path) -> None:
    path = tmp_path / "broken.json"
    path.write_text('{"entries": [{"by": "iv", "do": "add board"}]}', encoding="utf-8")
    with pytest.raises(InvalidInputError, match="an entry of broken.json lacks at"):
        entries_of(path)
