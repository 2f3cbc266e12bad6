"""App of evidence."""

from django.apps import AppConfig


class EvidenceConfig(AppConfig):
    name = "logbook.evidence"
    label = "evidence"
