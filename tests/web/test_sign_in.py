"""Signing in and out."""

from __future__ import annotations

from dataclasses import fields

import pytest
from django.test import Client

from logbook.web.views.account.sign_in import SignInPage
from tests.builders import Bench
from tests.web.contexts import received

RIGHT = {"username": "owner-tern", "password": "a long test password"}
WRONG = {"username": "owner-tern", "password": "not this one"}


def test_a_person_gets_where_they_wanted(bench: Bench, client: Client) -> None:
    answer = client.post("/sign-in/", RIGHT | {"next": "/p/tern/"})
    assert answer["Location"] == "/p/tern/"
    assert client.get("/p/tern/").status_code == 200


@pytest.mark.parametrize("goal", ["//example.org/", "https://example.org/", "javascript:alert(1)"])
def test_it_leads_to_no_other_site(bench: Bench, client: Client, goal: str) -> None:
    assert client.post("/sign-in/", RIGHT | {"next": goal})["Location"] == "/"


def test_a_wrong_password_says_so(bench: Bench, client: Client) -> None:
    answer = client.post("/sign-in/", WRONG)
    assert answer.status_code == 200
    assert "Please enter a correct" in answer.content.decode()


def test_five_wrong_passwords_close_the_door(bench: Bench, client: Client) -> None:
    answers = [client.post("/sign-in/", WRONG) for _ in range(5)]
    assert [answer.status_code for answer in answers] == [200, 200, 200, 200, 429]
    assert client.post("/sign-in/", RIGHT).status_code == 429


def test_the_locked_page_says_when_it_opens(bench: Bench, client: Client) -> None:
    for _ in range(4):
        client.post("/sign-in/", WRONG)
    assert "quarter of an hour" in client.post("/sign-in/", WRONG).content.decode()


def test_other_people_are_not_locked_out(bench: Bench, client: Client) -> None:
    for _ in range(5):
        client.post("/sign-in/", WRONG)
    assert client.post("/sign-in/", RIGHT | {"username": "editor-tern"}).status_code == 302


def test_signing_out_needs_a_post(bench: Bench, client: Client) -> None:
    client.force_login(bench.owner)
    assert client.get("/sign-out/").status_code == 405
    client.post("/sign-out/")
    assert client.get("/p/tern/").status_code == 302


def test_a_form_without_its_token_is_refused_with_a_page_of_ours(bench: Bench) -> None:
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post("/sign-in/", RIGHT)
    assert answer.status_code == 403
    assert "Nothing was stored" in answer.content.decode()


def test_an_empty_site_begins_with_its_set_up(db: None, client: Client) -> None:
    assert client.get("/sign-in/")["Location"] == "/setup/"


def test_the_template_gets_exactly_the_fields_of_the_page(bench: Bench, client: Client) -> None:
    assert received(client.get("/sign-in/")) == {field.name for field in fields(SignInPage)}
