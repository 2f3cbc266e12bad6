"""App of boards."""

from django.apps import AppConfig


class BoardsConfig(AppConfig):
    name = "logbook.boards"
    label = "boards"
