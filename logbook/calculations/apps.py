"""App of saved calculations."""

from django.apps import AppConfig


class CalculationsConfig(AppConfig):
    name = "logbook.calculations"
    label = "calculations"
