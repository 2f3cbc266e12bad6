"""The command that reads an archive in: what it says, and what it refuses."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from logbook.accounts.models import User
from logbook.projects.models import Membership, Project
from tests.recall.archive.small import small_archive

pytestmark = pytest.mark.django_db
NAMES = ("owner-tern", "editor-tern", "reader-tern")


@pytest.fixture
def archive(tmp_path: Path, empty_disk: Path) -> Path:
    """Return an archive of a small project."""
    return small_archive(tmp_path / "small.zip")


def said(*given: object) -> str:
    out = StringIO()
    call_command("import_archive", *map(str, given), stdout=out)
    return out.getvalue()


def refused(*given: object) -> str:
    with pytest.raises(CommandError) as caught:
        said(*given)
    assert not Project.objects.exists()
    return str(caught.value)


def test_it_counts_what_came_in_and_names_who_cannot_sign_in(archive: Path) -> None:
    told = said(archive).splitlines()
    counts = {name: int(count) for count, name in (one.split(maxsplit=1) for one in told if one[:1] == " ")}
    assert counts["targets"] == 2
    assert counts["measurements"] == 2
    assert counts["boards"] == counts["projects"] == counts["evidence"] == 1
    assert told[0] == f"tern: {sum(counts.values())} records came in"
    assert 0 not in counts.values()
    named = next(one for one in told if one.startswith("named only"))
    assert all(name in named for name in NAMES)
    assert told[-1].startswith("nobody can see it yet")


def test_an_owner_sees_it(archive: Path) -> None:
    boss = User.objects.create_user("boss", password="a long test password")
    assert "nobody can see it" not in said(archive, "--owner", "boss")
    assert Membership.objects.get(user=boss).role == "owner"


def test_a_name_that_is_taken_gets_the_words_to_type(archive: Path) -> None:
    for name in NAMES[:2]:
        User.objects.create_user(name, password="a long test password")
    message = refused(archive)
    assert "can sign in here and may be somebody else" in message
    words = [f"--person {name}={name}" for name in sorted(NAMES[:2])]
    assert " ".join(words) in message
    pairs = [word for one in words for word in one.split()]
    told = said(archive, *pairs)
    assert "records came in" in told
    assert "named only, unable to sign in: reader-tern" in told


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (["--person", "iv"], ["'iv' does not say who is who", "allowed: NAME=NAME HERE"]),
        (["--person", "gull=gull"], ["it names no gull", "given 'gull'", "editor-tern"]),
        (["--person", "owner-tern=gull"], ["gull"]),
        (["--owner", "gull"], ["gull"]),
    ],
    ids=["no pair", "nobody of the archive", "nobody here", "no owner"],
)
def test_people_who_are_not_there_are_told(archive: Path, given: list[str], says: list[str]) -> None:
    message = refused(archive, *given)
    assert [text for text in says if text not in message] == []


def test_a_file_that_is_not_there_or_no_archive_is_told(tmp_path: Path, empty_disk: Path) -> None:
    missing = tmp_path / "missing.zip"
    assert refused(missing) == f"the archive {missing} cannot be read: No such file or directory"
    assert refused(tmp_path) == f"the archive {tmp_path} cannot be read: Is a directory"
    missing.write_bytes(b"no zip")
    assert "no whole zip file" in refused(missing)
