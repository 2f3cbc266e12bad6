"""App of people and tokens."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    name = "logbook.accounts"
    label = "accounts"
