"""App of the pages."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "logbook.web"
    label = "web"
