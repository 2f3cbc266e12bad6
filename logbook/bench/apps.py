"""App of the bench."""

from django.apps import AppConfig


class BenchConfig(AppConfig):
    name = "logbook.bench"
    label = "bench"
