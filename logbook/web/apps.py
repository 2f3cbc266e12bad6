"""App of the pages."""

from django.apps import AppConfig

from logbook.web import checks

__all__ = ["WebConfig", "checks"]


class WebConfig(AppConfig):
    name = "logbook.web"
    label = "web"
