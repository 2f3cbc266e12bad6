"""The account: password and tokens."""

from __future__ import annotations

from dataclasses import fields

import pytest
from django.test import Client

from logbook.accounts.models import ApiToken
from logbook.web.views.account.account import TokenMadePage
from tests.builders import Bench
from tests.web.contexts import received

TOKEN = {"name": "supply sweep", "scopes": ["read", "record"]}


@pytest.fixture
def signed_in(bench: Bench, client: Client) -> Client:
    """Return a browser in which the owner is signed in."""
    client.force_login(bench.owner)
    return client


def test_a_new_password_keeps_the_person_signed_in(signed_in: Client, bench: Bench) -> None:
    given = {"old": "a long test password", "new": "another long one", "again": "another long one"}
    assert signed_in.post("/account/", given).status_code == 302
    bench.owner.refresh_from_db()
    assert bench.owner.check_password("another long one")
    assert signed_in.get("/account/").status_code == 200


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"old": "wrong"}, "old"),
        ({"new": "short", "again": "short"}, "new"),
        ({"again": "different"}, "again"),
    ],
)
def test_what_is_wrong_with_a_password_stands_at_its_field(
    signed_in: Client, bench: Bench, change: dict[str, str], field: str
) -> None:
    given = {"old": "a long test password", "new": "another long one", "again": "another long one"}
    answer = signed_in.post("/account/", given | change)
    assert field in answer.context["password_form"].errors
    bench.owner.refresh_from_db()
    assert bench.owner.check_password("a long test password")


def test_a_token_is_shown_once(signed_in: Client) -> None:
    secret = signed_in.post("/account/tokens/", TOKEN).context["secret"]
    token = ApiToken.objects.get()
    assert token.is_valid(secret)
    assert secret not in signed_in.get("/account/").content.decode()
    assert token.prefix in signed_in.get("/account/").content.decode()


def test_the_page_of_a_new_token_gets_exactly_its_fields(signed_in: Client) -> None:
    answer = signed_in.post("/account/tokens/", TOKEN)
    assert received(answer) == {field.name for field in fields(TokenMadePage)}


def test_the_page_with_the_secret_is_kept_nowhere(signed_in: Client) -> None:
    assert "no-store" in signed_in.post("/account/tokens/", TOKEN)["Cache-Control"]


@pytest.mark.parametrize(
    ("change", "field"),
    [({"scopes": []}, "scopes"), ({"expires_at": "2001-01-01"}, "expires_at"), ({"name": ""}, "name")],
)
def test_what_is_wrong_with_a_token_stands_at_its_field(
    signed_in: Client, change: dict[str, object], field: str
) -> None:
    answer = signed_in.post("/account/tokens/", TOKEN | change)
    assert field in answer.context["token_form"].errors
    assert not ApiToken.objects.exists()


def test_a_revoked_token_stays_in_the_list(signed_in: Client) -> None:
    signed_in.post("/account/tokens/", TOKEN)
    prefix = ApiToken.objects.get().prefix
    signed_in.post(f"/account/tokens/{prefix}/revoke/")
    assert ApiToken.objects.get().revoked
    assert "revoked" in signed_in.get("/account/").content.decode()


def test_nobody_revokes_the_token_of_another(signed_in: Client, bench: Bench) -> None:
    signed_in.post("/account/tokens/", TOKEN)
    prefix = ApiToken.objects.get().prefix
    signed_in.force_login(bench.editor)
    assert signed_in.post(f"/account/tokens/{prefix}/revoke/").status_code == 404
    assert not ApiToken.objects.get().revoked
