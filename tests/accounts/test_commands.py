"""Tokens and people."""

from __future__ import annotations

from datetime import timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.utils import timezone

from logbook.accounts.commands import add_user, create_token, note_token_use, revoke_token
from logbook.accounts.models import ApiToken, User
from logbook.accounts.queries import token_for_secret, token_of
from logbook.common.changes import Actor
from logbook.common.errors import InvalidInputError, NotAllowedError, NotFoundError
from logbook.common.models import ChangeRecord

NOBODY = Actor(None, "command")


@pytest.fixture
def user(db: None) -> User:
    return User.objects.create_user("maria", password="a long test password")


def made(user: User, **given: object) -> tuple[ApiToken, str]:
    return create_token(actor=NOBODY, user=user, **({"name": "rig", "scopes": ["read"]} | given))


def test_it_keeps_no_secret(user: User):
    token, secret = made(user)
    assert token_for_secret(secret) == token
    kept = str(ApiToken.objects.values().get()) + str(list(ChangeRecord.objects.values()))
    assert secret not in kept
    assert secret.partition(".")[2] not in kept


def test_it_keeps_scopes_once_and_in_order(user: User):
    assert made(user, scopes=["edit", "read", "edit"])[0].scopes == ["read", "edit"]


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"scopes": []}, "scopes"),
        ({"scopes": ["read", "everything"]}, "scopes"),
        ({"expires_at": timezone.now() - timedelta(days=1)}, "expires_at"),
        ({"name": " "}, "name"),
        ({"name": "x" * 51}, "name"),
    ],
    ids=["no scope", "unknown scope", "past", "no name", "long name"],
)
def test_it_makes_no_token_that_makes_no_sense(user: User, given: dict[str, object], field: str):
    with pytest.raises(InvalidInputError) as caught:
        made(user, **given)
    assert caught.value.problems[0].field == field
    assert not ApiToken.objects.exists()


def test_it_refuses_a_revoked_token_also_when_revoked_twice(user: User):
    token, secret = made(user)
    revoke_token(actor=NOBODY, token=token)
    revoke_token(actor=NOBODY, token=token)
    with pytest.raises(NotAllowedError, match="revoked"):
        token_for_secret(secret)
    assert ChangeRecord.objects.filter(fields__token__1="revoked").count() == 1


def test_it_refuses_an_expired_token(user: User):
    _, secret = made(user, expires_at=timezone.now() + timedelta(days=1))
    with (
        time_machine.travel(timezone.now() + timedelta(days=2)),
        pytest.raises(NotAllowedError, match="expired"),
    ):
        token_for_secret(secret)


@pytest.mark.parametrize("change", [lambda s: s + "x", lambda s: s[:9], lambda s: "", lambda s: "." + s])
def test_it_refuses_a_token_that_is_not_quite_right(user: User, change):
    _, secret = made(user)
    with pytest.raises(NotAllowedError):
        token_for_secret(change(secret))


def test_it_refuses_the_token_of_somebody_who_left(user: User):
    _, secret = made(user)
    User.objects.update(is_active=False)
    with pytest.raises(NotAllowedError):
        token_for_secret(secret)


def test_it_notes_a_use_at_most_every_five_minutes(user: User, django_assert_num_queries):
    token, secret = made(user)
    start = timezone.now()
    with time_machine.travel(start, tick=False):
        note_token_use(token=token)
    used = token_for_secret(secret)
    with time_machine.travel(start + timedelta(minutes=4), tick=False), django_assert_num_queries(0):
        note_token_use(token=used)
    with time_machine.travel(start + timedelta(minutes=6), tick=False):
        note_token_use(token=used)
    assert token_for_secret(secret).last_used_at == start + timedelta(minutes=6)


def test_it_finds_only_tokens_of_their_person(user: User):
    token, _ = made(user)
    other = User.objects.create_user("sam")
    with pytest.raises(NotFoundError):
        token_of(other, token.prefix)


def test_it_adds_a_person_with_a_fair_password_only(db: None):
    with pytest.raises(InvalidInputError):
        add_user(actor=NOBODY, username="sam", password="password")
    assert add_user(actor=NOBODY, username="sam", password="seven wet terns").check_password(
        "seven wet terns"
    )


def test_the_command_prints_the_token_and_nothing_else(user: User):
    out = StringIO()
    call_command("create_token", "--user", "maria", "--scopes", "read,record", stdout=out)
    token = token_for_secret(out.getvalue().removesuffix("\n"))
    assert (token.user, token.scopes, token.expiry_date) == (user, ["read", "record"], None)


def test_the_command_takes_name_and_last_day(user: User):
    day = timezone.localdate() + timedelta(days=3)
    call_command("create_token", "--user=maria", "--name=rig 2", f"--expires={day}", stdout=StringIO())
    token = ApiToken.objects.get()
    assert (token.name, timezone.localdate(token.expiry_date)) == ("rig 2", day)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--user", "nobody"], "nobody"),
        (["--user", "maria", "--scopes", "all"], "read, record, edit"),
        (["--user", "maria", "--expires", "2001-01-01"], "future"),
        (["--user", "maria", "--expires", "soon"], "soon"),
        ([], "--user"),
    ],
)
def test_the_command_says_what_is_wrong(user: User, arguments: list[str], says: str):
    with pytest.raises(CommandError, match=says):
        call_command("create_token", *arguments, stdout=StringIO())


def test_the_command_adds_a_person_with_a_password_from_standard_input(db: None, monkeypatch):
    monkeypatch.setattr("sys.stdin", StringIO("seven wet terns\n"))
    call_command("create_user", "sam", stdout=StringIO())
    assert User.objects.get(username="sam").check_password("seven wet terns")
