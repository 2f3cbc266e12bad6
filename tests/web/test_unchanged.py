"""Pages that a browser keeps: 304 while nothing was written (RFC 9110, 13.1.2 and 15.4.5)."""

from __future__ import annotations

from typing import Any

import pytest
from django.conf import settings
from django.contrib.messages import constants
from django.contrib.messages.storage.base import Message
from django.contrib.messages.storage.cookie import CookieStorage
from django.test import Client, RequestFactory

from logbook.projects.commands import remove_member
from tests.builders import Bench
from tests.marks import tries

KEPT = ["/p/tern/rev/A/", "/p/tern/rev/A/risks/", "/p/tern/rev/A/readiness/", "/p/tern/targets/"]


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    client.force_login(bench.reader)
    return client


def asked(client: Client, address: str, tag: str = "") -> Any:
    return client.get(address, headers={"If-None-Match": tag})


@pytest.mark.parametrize("address", KEPT)
def test_it_answers_304_without_a_body_while_nothing_was_written(reader: Client, address: str):
    for _ in range(tries()):
        first = asked(reader, address)
        again = asked(reader, address, first.headers["ETag"])
        if again.status_code == 304:
            break
    assert (first.status_code, again.status_code, again.content) == (200, 304, b"")
    assert again.headers["Cache-Control"] == "private, no-cache"
    assert "Cookie" in again.headers["Vary"]


@pytest.mark.parametrize("address", KEPT)
def test_it_shows_the_page_anew_after_a_reading(reader: Client, bench: Bench, address: str):
    bench.target()
    tag = asked(reader, address).headers["ETag"]
    bench.read("3.3 V")
    assert asked(reader, address, tag).status_code == 200


def test_it_shows_the_page_anew_under_another_secret_of_forms(reader: Client):
    tag = asked(reader, KEPT[0]).headers["ETag"]
    reader.cookies[settings.CSRF_COOKIE_NAME] = "k" * 32
    assert asked(reader, KEPT[0], tag).status_code == 200


def test_a_page_with_a_message_has_no_tag(reader: Client):
    tag = asked(reader, KEPT[0]).headers["ETag"]
    reader.cookies["messages"] = _message_cookie("stored")
    answer = asked(reader, KEPT[0], tag)
    assert b"stored" in answer.content
    assert "ETag" not in answer.headers


def test_a_filter_that_cannot_be_read_has_no_tag(reader: Client):
    answer = asked(reader, f"{KEPT[0]}?as_of=never")
    assert answer.status_code == 400
    assert "ETag" not in answer.headers


def test_a_stranger_and_nobody_are_never_told_unchanged(reader: Client, bench: Bench):
    tag = asked(reader, KEPT[0]).headers["ETag"]
    stranger = Client()
    assert asked(stranger, KEPT[0], tag).status_code == 302
    stranger.force_login(bench.stranger)
    assert asked(stranger, KEPT[0], tag).status_code == 404


def test_it_holds_back_what_a_former_member_knew(reader: Client, bench: Bench):
    tag = asked(reader, KEPT[0]).headers["ETag"]
    remove_member(actor=bench.actor, project=bench.project, user=bench.reader)
    assert asked(reader, KEPT[0], tag).status_code == 404


def _message_cookie(text: str) -> str:
    storage = CookieStorage(RequestFactory().get("/"))
    return str(storage._encode([Message(constants.SUCCESS, text)]))
