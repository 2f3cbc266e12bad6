"""App of findings."""

from django.apps import AppConfig


class FindingsConfig(AppConfig):
    name = "logbook.findings"
    label = "findings"
