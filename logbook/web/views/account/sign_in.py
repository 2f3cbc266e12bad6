"""Signing in and out. Throttling after wrong passwords is done by the sign-in backend."""

from __future__ import annotations

from dataclasses import dataclass

from django import forms
from django.contrib.auth import login, logout
from django.contrib.auth.forms import AuthenticationForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from logbook.accounts.queries import is_set_up
from logbook.web.forms.fields import sent
from logbook.web.rendering import show


@dataclass(frozen=True)
class SignInPage:
    """What the sign-in page shows."""

    form: forms.Form
    next: str


@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign a person in and lead them to where they wanted to go."""
    if not is_set_up():
        return redirect("setup")
    goal = _goal_of(request)
    if request.user.is_authenticated:
        return redirect(goal or "project-list")
    form = AuthenticationForm(request, data=sent(request))
    form.fields["username"].label = "Name"
    if request.method == "POST" and form.is_valid():
        login(request, form.get_user())
        return redirect(goal or "project-list")
    return show(request, "account/sign_in.html", SignInPage(form, goal))


def _goal_of(request: HttpRequest) -> str:
    """Return the page asked for before; only addresses of this site are followed."""
    goal = request.POST.get("next", request.GET.get("next", ""))
    is_ours = url_has_allowed_host_and_scheme(
        goal, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return resolve_url(goal) if goal and is_ours else ""


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign the person out."""
    logout(request)
    return redirect("sign-in")
