"""``/projects/{slug}/archives/`` and ``/archives/``."""

from __future__ import annotations

import zipfile
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from logbook.accounts.models import User
from logbook.common.jobs import run_waiting
from logbook.projects.models import Project
from tests.api.callers import Caller, caller_for
from tests.recall.archive.small import small_archive

pytestmark = pytest.mark.django_db
ARCHIVES = "projects/tern/archives/"


@pytest.fixture(autouse=True)
def disk(settings, tmp_path):
    settings.LOGBOOK_DATA = tmp_path
    return tmp_path


def sent(caller: Caller, data: bytes) -> Any:
    headers = {"Authorization": f"Bearer {caller.secret}"}
    file = SimpleUploadedFile("archive.zip", data)
    return caller.client.post("/api/v1/archives/", {"file": file}, headers=headers)


def test_a_script_asks_for_an_archive_and_fetches_it(owner: Caller) -> None:
    asked = owner.post(ARCHIVES, {})
    assert (asked.status_code, asked.json()["state"]) == (202, "waiting")
    run_waiting()
    found = owner.get(f"{ARCHIVES}{asked.json()['id']}/").json()
    assert (found["state"], found["progress"], found["is_kept"]) == ("done", 100, True)
    answer = owner.get(f"{ARCHIVES}{found['id']}/content/")
    names = zipfile.ZipFile(BytesIO(b"".join(answer.streaming_content))).namelist()
    assert "manifest.json" in names


def test_the_list_costs_the_same_however_long_it_is(owner: Caller, django_assert_max_num_queries) -> None:
    for _ in range(3):
        owner.post(ARCHIVES, {})
        run_waiting()
    with django_assert_max_num_queries(4):
        rows = owner.get(ARCHIVES).json()["results"]
    assert [row["is_kept"] for row in rows] == [False, False, True]


@pytest.mark.parametrize(("who", "status"), [("editor", 403), ("reader", 403), ("stranger", 404)])
def test_an_archive_is_for_owners(bench, who: str, status: int) -> None:
    caller = caller_for(getattr(bench, who))
    assert caller.get(ARCHIVES).status_code == status
    assert caller.post(ARCHIVES, {}).status_code == status


def test_only_an_owner_of_the_site_reads_one_in(tmp_path) -> None:
    data = small_archive(tmp_path / "small.zip").read_bytes()
    boss = User.objects.create_superuser("boss", password="a long test password")
    someone = User.objects.create_user("someone", password="a long test password")
    assert sent(caller_for(someone), data).status_code == 403
    assert not Project.objects.exists()
    answer = sent(caller_for(boss), data)
    assert (answer.status_code, answer.json()["project"]) == (201, "tern")
    assert "owner-tern" in answer.json()["people"]


def test_a_damaged_one_is_a_problem_that_says_why(db) -> None:
    boss = User.objects.create_superuser("boss", password="a long test password")
    answer = sent(caller_for(boss), b"no zip")
    assert answer.status_code == 400
    assert answer.json()["problems"][0]["code"] == "archive_refused"
