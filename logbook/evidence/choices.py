"""Fixed words of evidence."""

from django.db import models

# The names of the background work on evidence.
PREPARE_PICTURE = "prepare-picture"
ANALYSE = "analyse-capture"
DRAW_GERBER = "draw-gerber"


class EvidenceKind(models.TextChoices):
    PHOTO = "photo", "photo"
    WAVEFORM = "waveform", "waveform"
    SWEEP = "sweep", "sweep"
    AUDIO = "audio", "audio capture"
    DOCUMENT = "document", "document"
    GERBER = "gerber", "Gerber files"


class AnalysisState(models.TextChoices):
    WAITING = "waiting", "waiting"
    RUNNING = "running", "running"
    DONE = "done", "done"
    REFUSED = "refused", "refused"


class Side(models.TextChoices):
    TOP = "top", "top"
    BOTTOM = "bottom", "bottom"


class PlacingKind(models.TextChoices):
    FINDING = "finding", "finding"
    CONNECTOR = "connector", "connector"
    TEST_POINT = "test point", "test point"
    NOTE = "note", "note"


class Layer(models.TextChoices):
    TOP_COPPER = "top-copper", "top copper"
    TOP_MASK = "top-mask", "top solder mask"
    TOP_LEGEND = "top-legend", "top legend"
    BOTTOM_COPPER = "bottom-copper", "bottom copper"
    BOTTOM_MASK = "bottom-mask", "bottom solder mask"
    BOTTOM_LEGEND = "bottom-legend", "bottom legend"
    PROFILE = "profile", "outline of the board"
    HOLES = "holes", "holes"
    NOT_DRAWN = "not drawn", "not drawn"


class FoundBy(models.TextChoices):
    FUNCTION = "function", "what the file says"
    NAME = "name", "its name"
    FORMAT = "format", "its format"
    NOTHING = "nothing", "nothing"


class DrawingState(models.TextChoices):
    TO_CONFIRM = "to confirm", "to be confirmed"
    WAITING = "waiting", "waiting"
    DRAWN = "drawn", "drawn"
    REFUSED = "refused", "refused"


class Drawn(models.TextChoices):
    """What is drawn of a capture."""

    SAMPLES = "samples", "samples"
    LEVEL = "level", "level"
    SPECTRUM = "spectrum", "spectrum"
