"""The account of the person signed in: password and tokens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django import forms
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from logbook.accounts.commands import change_password, create_token, revoke_token
from logbook.accounts.models import ApiToken
from logbook.accounts.queries import token_of, tokens_of
from logbook.common.errors import DomainError
from logbook.web.access import actor_of, person, signed_in
from logbook.web.forms.account import PasswordForm, TokenForm
from logbook.web.forms.fields import add_problems, sent
from logbook.web.rendering import show


@dataclass(frozen=True)
class AccountPage:
    """What the account page shows."""

    password_form: forms.Form
    token_form: forms.Form
    tokens: Sequence[ApiToken]


@dataclass(frozen=True)
class TokenMadePage:
    """What is shown once, right after a token was made."""

    token: ApiToken
    secret: str


@sensitive_post_parameters("old", "new", "again")
@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def account(request: HttpRequest) -> HttpResponse:
    """Show the account; a POST changes the password."""
    form = PasswordForm(sent(request))
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            user = change_password(
                actor=actor_of(request), user=person(request), old=given["old"], new=given["new"]
            )
        except DomainError as error:
            add_problems(form, error)
        else:
            update_session_auth_hash(request, user)
            messages.success(request, "Your password is changed.")
            return redirect("account")
    return _show(request, form, TokenForm())


@never_cache
@signed_in
@require_POST
def token_create(request: HttpRequest) -> HttpResponse:
    """Make a token and show its secret, this once."""
    form = TokenForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        try:
            token, secret = create_token(
                actor=actor_of(request),
                user=person(request),
                name=given["name"],
                scopes=given["scopes"],
                expires_at=_end_of(given["expires_at"]),
            )
        except DomainError as error:
            add_problems(form, error)
        else:
            return show(request, "account/token_made.html", TokenMadePage(token, secret))
    return _show(request, PasswordForm(), form)


@signed_in
@require_POST
def token_revoke(request: HttpRequest, prefix: str) -> HttpResponse:
    """Revoke a token for good."""
    token = revoke_token(actor=actor_of(request), token=token_of(person(request), prefix))
    messages.success(request, f"The token “{token.name}” is revoked. Scripts that use it are refused now.")
    return redirect("account")


def _show(request: HttpRequest, password_form: forms.Form, token_form: forms.Form) -> HttpResponse:
    context = AccountPage(password_form, token_form, list(tokens_of(person(request))))
    return show(request, "account/account.html", context)


def _end_of(day: date | None) -> datetime | None:
    return timezone.make_aware(datetime.combine(day, time(23, 59, 59))) if day else None
