"""App of planning."""

from django.apps import AppConfig


class PlanningConfig(AppConfig):
    name = "logbook.planning"
    label = "planning"
