"""App of recall."""

from django.apps import AppConfig


class RecallConfig(AppConfig):
    name = "logbook.recall"
    label = "recall"
