"""Addresses of signing in, the account, projects, boards and what a design is made of."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import health
from logbook.web.views.account import account, setup, sign_in

urlpatterns: list[URLPattern] = [
    path("healthz/", health.healthz, name="healthz"),
    path("sign-in/", sign_in.sign_in, name="sign-in"),
    path("sign-out/", sign_in.sign_out, name="sign-out"),
    path("setup/", setup.setup, name="setup"),
    path("account/", account.account, name="account"),
    path("account/tokens/", account.token_create, name="token-create"),
    path("account/tokens/<str:prefix>/revoke/", account.token_revoke, name="token-revoke"),
]
