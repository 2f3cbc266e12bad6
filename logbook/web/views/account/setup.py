"""The first visit to an empty site: making its first owner."""

from __future__ import annotations

from dataclasses import dataclass
from ipaddress import ip_address

from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from logbook.accounts.commands import create_first_owner
from logbook.accounts.queries import is_set_up
from logbook.accounts.setup_code import is_setup_code, setup_code
from logbook.common.errors import DomainError, NotFoundError
from logbook.web.forms.account import SetupForm
from logbook.web.forms.fields import add_problems, sent
from logbook.web.rendering import show

PASSED_ON = ("HTTP_X_FORWARDED_FOR", "HTTP_FORWARDED", "HTTP_X_REAL_IP")
LOCAL_NAMES = {"localhost", "127.0.0.1", "[::1]"}


@dataclass(frozen=True)
class SetupPage:
    """What the set-up page shows."""

    form: forms.Form
    is_local: bool


@sensitive_post_parameters("password", "again", "code")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def setup(request: HttpRequest) -> HttpResponse:
    """Make the first owner; once there is anybody this page does not exist."""
    if is_set_up():
        message = "the site is set up; its people sign in"
        raise NotFoundError(message)
    is_local = _is_local(request)
    if not is_local:
        setup_code()
    form = SetupForm(sent(request), is_local=is_local)
    if request.method == "POST" and form.is_valid() and _may_set_up(form, is_local=is_local):
        try:
            owner = create_first_owner(
                username=form.cleaned_data["username"], password=form.cleaned_data["password"]
            )
        except DomainError as error:
            add_problems(form, error)
        else:
            login(request, owner, backend="django.contrib.auth.backends.ModelBackend")
            messages.success(request, "You are the owner of this site. Begin with a project.")
            return redirect("project-list")
    return show(request, "account/setup.html", SetupPage(form, is_local))


def _may_set_up(form: forms.Form, *, is_local: bool) -> bool:
    if is_local or is_setup_code(form.cleaned_data["code"]):
        return True
    form.add_error("code", "This is not the code of this server.")
    return False


def _is_local(request: HttpRequest) -> bool:
    """Say whether the browser runs on the server itself.

    Behind a proxy every visitor seems to; a page of elsewhere that resolves to this machine carries
    its own host name.
    """
    if settings.LOGBOOK_BEHIND_TLS or any(name in request.META for name in PASSED_ON):
        return False
    host = request.get_host().rsplit(":", 1)[0] if request.get_host() != "[::1]" else "[::1]"
    try:
        return ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback and host in LOCAL_NAMES
    except ValueError:
        return False
