"""The invented demo as a story: its first day, its shelving, its photos."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client

from logbook.accounts.models import User
from logbook.projects.models import Project
from logbook.recall.timeline import lines_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def test_the_shelving_of_2021_is_told() -> None:
    lines = lines_of(Project.objects.get(slug="saltlark"), kind="project")
    assert "Saltlark shelved" in {line.title for line in lines if line.day == date(2021, 12, 3)}


def test_every_address_of_a_line_opens(client: Client) -> None:
    client.force_login(User.objects.get(username="iv"))
    firsts = {line.kind: line.url for line in lines_of(Project.objects.get(slug="saltlark"))}
    assert {kind: client.get(url).status_code for kind, url in firsts.items()} == dict.fromkeys(firsts, 200)


def test_photos_have_pictures_and_captures_have_none() -> None:
    lines = lines_of(Project.objects.get(slug="saltlark"), kind="evidence")
    pictured = {line.note: bool(line.picture) for line in lines}
    assert pictured["0005-j7-corrosion.png"]
    assert not pictured["0006-soft-start.csv"]
