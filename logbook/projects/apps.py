"""App of projects."""

from django.apps import AppConfig


class ProjectsConfig(AppConfig):
    name = "logbook.projects"
    label = "projects"
