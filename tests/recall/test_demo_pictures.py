"""The board pictures of the demo: drawn from its files, with what is placed on them where the copper is."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from logbook.evidence import storage
from logbook.evidence.gerber.sides import COPPER, HOLE
from logbook.evidence.models import BoardPicture
from logbook.evidence.overlay import difference
from logbook.evidence.queries.pictures import fit_of, places_of, placings_on
from logbook.projects.models import Project

pytestmark = pytest.mark.django_db


def _top(label: str) -> BoardPicture:
    return BoardPicture.objects.select_related("evidence").get(
        project__slug="saltlark", revision__label=label, side="top"
    )


@pytest.mark.usefixtures("demo")
def test_revisions_b_and_c_are_drawn_on_both_sides() -> None:
    sides = BoardPicture.objects.filter(project__slug="saltlark").values_list("revision__label", "side")
    assert set(sides) == {("B", "top"), ("B", "bottom"), ("C", "top"), ("C", "bottom")}


@pytest.mark.usefixtures("demo")
@pytest.mark.parametrize(("label", "count"), [("B", 4), ("C", 4)])
def test_what_is_placed_lies_on_copper_or_between_two_pads(label: str, count: int) -> None:
    picture = _top(label)
    bits = np.asarray(Image.open(storage.original(picture.evidence.sha256)))
    placings = list(placings_on(picture))
    assert len(placings) == count
    for one in placings:
        x, y = round(one.x * picture.width), round(one.y * picture.height)
        assert (bits[y - 40 : y + 40, x - 40 : x + 40] & (COPPER | HOLE)).any(), one


@pytest.mark.usefixtures("demo")
def test_the_connector_differs_between_the_revisions_and_the_memory_does_not() -> None:
    older, newer = _top("B"), _top("C")
    fit = fit_of(older, newer)
    assert fit is not None
    found = difference(older, newer, fit, "copper")
    # J7 lies in the right third, the memory in the left half.
    assert found.regions[0].left > 0.6
    assert all(one.left > 0.5 for one in found.regions)
    assert found.added > 20
    assert found.removed > 20


@pytest.mark.usefixtures("demo")
def test_a_finding_is_found_again_on_the_pictures() -> None:
    saltlark = Project.objects.get(slug="saltlark")
    assert [one.text for one in places_of(saltlark, "finding", "F-15")] == ["A9", "A10"]
    assert len(places_of(saltlark, "connector", "J7")) == 2
