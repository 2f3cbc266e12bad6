"""Asking for an archive on a page, saving it, and reading it into a site."""

from __future__ import annotations

import zipfile
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from logbook.accounts.models import User
from logbook.common.jobs import run_waiting
from logbook.projects.models import Membership, Project
from logbook.recall.models import Export
from tests.recall.archive.small import small_archive

pytestmark = pytest.mark.django_db


@pytest.fixture
def disk(settings, tmp_path):
    settings.LOGBOOK_DATA = tmp_path
    return tmp_path


def signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


def test_an_owner_asks_for_an_archive_and_saves_it(bench, disk, django_assert_max_num_queries) -> None:
    client = signed_in(bench.owner)
    assert client.post("/p/tern/archive/ask/").status_code == 302
    assert b"Being written" in client.get("/p/tern/archive/").content
    run_waiting()
    with django_assert_max_num_queries(5):
        page = client.get("/p/tern/archive/").content.decode()
    export = Export.objects.get()
    assert f'href="/p/tern/archive/{export.pk}.zip"' in page
    data = b"".join(client.get(f"/p/tern/archive/{export.pk}.zip").streaming_content)
    assert "data/projects.jsonl" in zipfile.ZipFile(BytesIO(data)).namelist()


def test_asking_twice_writes_it_once_and_a_newer_one_replaces_it(bench, disk) -> None:
    client = signed_in(bench.owner)
    for _ in range(2):
        client.post("/p/tern/archive/ask/")
    assert Export.objects.count() == 1
    run_waiting()
    client.post("/p/tern/archive/ask/")
    run_waiting()
    assert [one.is_kept for one in Export.objects.order_by("pk")] == [False, True]
    assert len(list((disk / "archives").iterdir())) == 1


@pytest.mark.parametrize(("who", "status"), [("editor", 403), ("reader", 403), ("stranger", 404)])
@pytest.mark.parametrize("method", ["get", "post"])
def test_nobody_else_gets_the_archive(bench, disk, who: str, status: int, method: str) -> None:
    address = "/p/tern/archive/" if method == "get" else "/p/tern/archive/ask/"
    assert getattr(signed_in(getattr(bench, who)), method)(address).status_code == status
    assert not Export.objects.exists()


def test_the_owner_of_the_site_reads_an_archive_in(disk, tmp_path) -> None:
    data = small_archive(tmp_path / "small.zip").read_bytes()
    boss = User.objects.create_superuser("boss", password="a long test password")
    sent = {"file": SimpleUploadedFile("small.zip", data), "people": ""}
    assert signed_in(boss).post("/archive/import/", sent).headers["Location"] == "/p/tern/"
    assert Membership.objects.get(user=boss).role == "owner"


def test_a_damaged_one_is_told_at_the_field(disk) -> None:
    boss = User.objects.create_superuser("boss", password="a long test password")
    answer = signed_in(boss).post("/archive/import/", {"file": SimpleUploadedFile("a.zip", b"no zip")})
    assert answer.status_code == 400
    assert b"no whole zip file" in answer.content
    assert not Project.objects.exists()


def test_an_owner_of_a_project_may_not_read_one_in(bench, disk) -> None:
    assert signed_in(bench.owner).get("/archive/import/").status_code == 403
