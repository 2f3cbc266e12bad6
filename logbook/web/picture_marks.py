"""What a board picture shows: its size on the page, and a numbered mark for each placing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse

from logbook.evidence.choices import PlacingKind
from logbook.evidence.models import BoardPicture, Placing

# As wide as the page's wide column; without JavaScript the picture is never scaled, so clicks can be read.
WIDEST_PX, HIGHEST_PX = 900, 900
TARGETS = {
    PlacingKind.FINDING: "finding-detail",
    PlacingKind.CONNECTOR: "connector-detail",
    PlacingKind.TEST_POINT: "target-detail",
}


@dataclass(frozen=True)
class Shown:
    """The size a picture has on the page."""

    width: int
    height: int


@dataclass(frozen=True)
class Mark:
    """A placing with its number, its pixels on the page and, on a drawn picture, its millimetres."""

    number: int
    placing: Placing
    x: float
    y: float
    mm: str
    url: str
    is_named: bool

    @property
    def shape(self) -> str:
        """Return the name of the mark's shape: one for each kind."""
        return self.placing.kind.replace(" ", "-")


def shown_size(picture: BoardPicture, widest: int = WIDEST_PX) -> Shown:
    """Return how large a picture is shown."""
    scale = min(widest / picture.width, HIGHEST_PX / picture.height)
    return Shown(max(round(picture.width * scale), 1), max(round(picture.height * scale), 1))


def marks_of(picture: BoardPicture, placings: Iterable[Placing], *, named: str) -> list[Mark]:
    """Return the marks; ``named`` is the number of the placing somebody came for."""
    shown, frame = shown_size(picture), picture.frame
    marks = []
    for number, one in enumerate(placings, start=1):
        mm = ""
        if frame is not None:
            x_mm, y_mm = frame.to_mm.at(one.x * picture.width, one.y * picture.height)
            mm = f"{x_mm:.1f}, {y_mm:.1f}"
        route = TARGETS.get(PlacingKind(one.kind))
        url = reverse(route, args=[picture.project.slug, one.key]) if route else ""
        at = round(one.x * shown.width, 1), round(one.y * shown.height, 1)
        marks.append(Mark(number, one, *at, mm, url, is_named=str(one.pk) == named))
    return marks
