"""App of lessons."""

from django.apps import AppConfig


class LessonsConfig(AppConfig):
    name = "logbook.lessons"
    label = "lessons"
