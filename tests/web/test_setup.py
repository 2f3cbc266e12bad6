"""Making the first owner, here or with the code from the console."""

from __future__ import annotations

import stat
from dataclasses import fields
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.core.management import call_command
from django.test import Client

from logbook.accounts.models import User
from logbook.accounts.setup_code import is_setup_code, setup_code
from logbook.web.views.account.setup import SetupPage
from tests.builders import Bench
from tests.web.contexts import received

GIVEN = {"username": "iv", "password": "quite long enough", "again": "quite long enough"}
ELSEWHERE = {"REMOTE_ADDR": "192.0.2.7"}


@pytest.fixture(autouse=True)
def data_folder(settings: LazySettings, tmp_path: Path) -> Path:
    """Give every test a data folder of its own."""
    settings.LOGBOOK_DATA = tmp_path
    return tmp_path


def test_on_this_machine_no_code_is_asked_for(db: None, client: Client) -> None:
    assert "code" not in client.get("/setup/", HTTP_HOST="localhost").context["form"].fields
    answer = client.post("/setup/", GIVEN, HTTP_HOST="localhost")
    assert answer["Location"] == "/"
    assert client.get("/").status_code == 200


@pytest.mark.parametrize(
    "sent",
    [
        ELSEWHERE,
        {"HTTP_X_FORWARDED_FOR": "192.0.2.7"},
        {"HTTP_FORWARDED": "for=192.0.2.7"},
        {"HTTP_HOST": "testserver"},
    ],
    ids=["another machine", "through a proxy", "through a newer proxy", "under another name"],
)
def test_from_elsewhere_the_code_is_asked_for(db: None, client: Client, sent: dict[str, str]) -> None:
    answer = client.post("/setup/", GIVEN, **{"HTTP_HOST": "localhost", **sent})  # type: ignore[arg-type]
    assert "code" in answer.context["form"].errors
    assert not User.objects.exists()


def test_the_code_of_the_console_opens(db: None, client: Client, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("show_setup_code")
    code = capsys.readouterr().out.split()[-1]
    answer = client.post("/setup/", GIVEN | {"code": code}, **ELSEWHERE)  # type: ignore[arg-type]
    assert answer["Location"] == "/"


def test_a_wrong_code_does_not(db: None, client: Client) -> None:
    setup_code()
    answer = client.post("/setup/", GIVEN | {"code": "aaaaaa-bbbbbb"}, **ELSEWHERE)  # type: ignore[arg-type]
    assert answer.context["form"].errors["code"] == ["This is not the code of this server."]
    assert not User.objects.exists()


def test_the_code_is_made_once_and_readable_by_the_server_only(data_folder: Path) -> None:
    assert setup_code() == setup_code()
    assert stat.S_IMODE((data_folder / "setup-code").stat().st_mode) == 0o600


def test_without_a_code_nothing_matches() -> None:
    assert not is_setup_code("")


@pytest.mark.django_db(transaction=True)
def test_the_code_is_gone_once_there_is_an_owner(client: Client, data_folder: Path) -> None:
    setup_code()
    client.post("/setup/", GIVEN, HTTP_HOST="localhost")
    assert not (data_folder / "setup-code").exists()


def test_a_site_with_people_has_no_set_up(bench: Bench, client: Client) -> None:
    assert client.get("/setup/", HTTP_HOST="localhost").status_code == 404
    assert client.post("/setup/", GIVEN, HTTP_HOST="localhost").status_code == 404


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"again": "something else"}, "again"),
        ({"password": "short", "again": "short"}, "password"),
        ({"password": "password123", "again": "password123"}, "password"),
        ({"username": "no spaces please"}, "username"),
    ],
    ids=["typed differently", "too short", "well known", "name with spaces"],
)
def test_what_is_wrong_stands_at_its_field(
    db: None, client: Client, change: dict[str, str], field: str
) -> None:
    answer = client.post("/setup/", GIVEN | change, HTTP_HOST="localhost")
    assert field in answer.context["form"].errors
    assert not User.objects.exists()


def test_the_command_says_when_no_code_is_needed(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("show_setup_code")
    assert "no code is needed" in capsys.readouterr().out


def test_the_template_gets_exactly_the_fields_of_the_page(db: None, client: Client) -> None:
    assert received(client.get("/setup/")) == {field.name for field in fields(SetupPage)}
