"""App of the shared Django basics."""

from django.apps import AppConfig


class CommonConfig(AppConfig):
    name = "logbook.common"
    label = "common"
