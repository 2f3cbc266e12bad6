"""Fixed words of evidence."""

from django.db import models

# The names of the background work on evidence.
PREPARE_PICTURE = "prepare-picture"
ANALYSE = "analyse-capture"


class EvidenceKind(models.TextChoices):
    PHOTO = "photo", "photo"
    WAVEFORM = "waveform", "waveform"
    SWEEP = "sweep", "sweep"
    AUDIO = "audio", "audio capture"
    DOCUMENT = "document", "document"


class AnalysisState(models.TextChoices):
    WAITING = "waiting", "waiting"
    RUNNING = "running", "running"
    DONE = "done", "done"
    REFUSED = "refused", "refused"
