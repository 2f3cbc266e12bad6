"""Pictures of the sides of a board, what is placed on them, and how two fit over each other."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.common.models import Withdrawable
from logbook.core.board_picture import Frame, Transform
from logbook.evidence.choices import DrawingState, PlacingKind, Side
from logbook.evidence.models.files import Evidence
from logbook.projects.models import Project, Revision


class Drawing(models.Model):
    """A bundle of Gerber files of a revision, the layer each file holds, and how far drawing it is.

    ``layers`` is ``[{"name": …, "layer": …, "found_by": …, "says": …}]``; a person confirms it once.
    """

    project = models.ForeignKey(Project, models.PROTECT, related_name="drawings")
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="drawings")
    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="drawings")
    layers = models.JSONField(default=list)
    state = models.CharField(max_length=12, choices=DrawingState, default=DrawingState.TO_CONFIRM)
    has_profile = models.BooleanField(default=True)
    problem = models.CharField(max_length=500, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-id"]
        verbose_name = "drawing"

    def __str__(self) -> str:
        return f"drawing {self.pk}"


class BoardPicture(Withdrawable):
    """One side of a revision, as a photo or as drawn to scale from Gerber files.

    ``width`` and ``height`` are those of the upright picture. A drawn one has a scale and says where its
    upper left corner lies on the board; a photo has neither.
    """

    project = models.ForeignKey(Project, models.PROTECT, related_name="pictures")
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="pictures")
    side = models.CharField(max_length=6, choices=Side)
    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="board_pictures")
    drawing = models.ForeignKey(
        Drawing, models.PROTECT, null=True, blank=True, related_name="pictures", editable=False
    )
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    pixels_per_mm = models.FloatField(null=True, blank=True)
    left_mm = models.FloatField(null=True, blank=True)
    top_mm = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]
        verbose_name = "board picture"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(drawing__isnull=True) | models.Q(pixels_per_mm__gt=0),
                name="drawn_picture_has_scale",
            ),
            models.UniqueConstraint(fields=["drawing", "side"], name="drawing_side_once"),
        ]

    def __str__(self) -> str:
        return f"{self.side} side, {'photo' if self.pixels_per_mm is None else 'drawn'}, picture {self.pk}"

    @property
    def frame(self) -> Frame | None:
        """Return where a drawn picture lies on the board; a photo does not know."""
        if self.pixels_per_mm is None or self.left_mm is None or self.top_mm is None:
            return None
        return Frame(self.pixels_per_mm, self.left_mm, self.top_mm, is_mirrored=self.side == Side.BOTTOM)


class Placing(Withdrawable):
    """Where on a picture something lies: x from its left and y from its top, each 0 to 1 of its size.

    Findings and targets are known above this app, so what is placed is named by its kind and key.
    """

    picture = models.ForeignKey(BoardPicture, models.PROTECT, related_name="placings")
    kind = models.CharField(max_length=12, choices=PlacingKind)
    key = models.CharField(max_length=60, blank=True)
    text = models.CharField(max_length=200, blank=True)
    x = models.FloatField()
    y = models.FloatField()

    class Meta:
        ordering = ["id"]
        verbose_name = "placing"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(x__gte=0, x__lte=1, y__gte=0, y__lte=1), name="placing_on_the_picture"
            ),
            models.CheckConstraint(
                condition=~models.Q(key="") | ~models.Q(text=""), name="placing_names_something"
            ),
        ]
        indexes = [models.Index(fields=["kind", "key"], name="placing_of_what")]

    def __str__(self) -> str:
        return f"{self.kind} {self.key or self.text}"


class PointPairs(models.Model):
    """Points seen on two pictures, which lay one over the other; the newest of two pictures count.

    ``pairs`` is ``[[base_x, base_y, over_x, over_y]]``, each 0 to 1 of the size of its picture; the map they
    gave goes from pixels of the picture laid over to pixels of the one that stays.
    """

    base = models.ForeignKey(BoardPicture, models.PROTECT, related_name="point_pairs")
    over = models.ForeignKey(BoardPicture, models.PROTECT, related_name="+")
    pairs = models.JSONField()
    transform = models.JSONField()
    kind = models.CharField(max_length=10)
    residual_px = models.FloatField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-id"]
        verbose_name = "point pairs"
        verbose_name_plural = "point pairs"

    def __str__(self) -> str:
        return f"points of picture {self.over_id} over picture {self.base_id}"

    @property
    def as_transform(self) -> Transform:
        """Return the map from the picture laid over to the one that stays, in pixels."""
        return Transform(*self.transform)
