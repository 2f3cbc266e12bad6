"""Pictures of a side: placing, drawing, laying one over another."""

from __future__ import annotations

import io
import math
from typing import Any

import numpy as np
import pytest
from PIL import Image

from logbook.common.errors import ConflictError, InvalidInputError
from logbook.common.jobs import run_waiting
from logbook.common.models import ChangeRecord
from logbook.core.board_picture import Frame
from logbook.evidence.commands import (
    add_drawing,
    add_picture,
    confirm_layers,
    keep_point_pairs,
    place,
    withdraw_picture,
    withdraw_placing,
)
from logbook.evidence.gerber.bundle import packed
from logbook.evidence.models import BoardPicture, Drawing, Evidence
from logbook.evidence.overlay import difference, difference_picture, laid_over
from logbook.evidence.queries.pictures import Fit, fit_of, pictures_of, places_of, placings_on
from logbook.projects.commands import add_revision
from logbook.projects.models import Revision
from tests.builders import Bench
from tests.evidence import files
from tests.evidence.conftest import Adder
from tests.evidence.gerber import files as gerber

pytestmark = pytest.mark.django_db
PAD = gerber.rectangle(2, 2, 6, 4)


def _photo(add: Adder, bench: Bench, data: bytes = b"", revision: Revision | None = None) -> BoardPicture:
    evidence = add(data or files.picture("PNG", (400, 200)), "board.png")
    run_waiting()
    return add_picture(actor=bench.actor, revision=revision or bench.revision, side="top", evidence=evidence)


def _drawing(add: Adder, bench: Bench, bundle: bytes, revision: Revision | None = None) -> Drawing:
    evidence = add(bundle, "board.zip")
    drawing = add_drawing(actor=bench.actor, revision=revision or bench.revision, evidence=evidence)
    confirm_layers(actor=bench.actor, drawing=drawing, layers={})
    run_waiting()
    drawing.refresh_from_db()
    return drawing


def _top(drawing: Drawing) -> BoardPicture:
    return drawing.pictures.select_related("evidence").get(side="top")


def _frame(picture: BoardPicture) -> Frame:
    assert picture.frame is not None
    return picture.frame


def _fit(base: BoardPicture, over: BoardPicture) -> Fit:
    found = fit_of(base, over)
    assert found is not None
    return found


def test_a_photo_lies_as_it_is_shown(add: Adder, bench: Bench) -> None:
    picture = _photo(add, bench, files.photo_taken_somewhere(orientation=6))
    with Image.open(io.BytesIO(files.photo_taken_somewhere(orientation=6))) as given:
        assert (picture.width, picture.height) == (given.height, given.width)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"kind": "finding", "x": 0.5, "y": 0.5}, "which finding"),
        ({"kind": "note", "x": 0.5, "y": 0.5}, "says something"),
        ({"kind": "via", "key": "V1", "x": 0.5, "y": 0.5}, "no kind"),
        ({"kind": "connector", "key": "J7", "x": 1.01, "y": 0.5}, "outside"),
        ({"kind": "connector", "key": "J7", "x": math.nan, "y": 0.5}, "outside"),
    ],
)
def test_it_refuses_an_empty_place(add: Adder, bench: Bench, given: dict[str, Any], says: str) -> None:
    with pytest.raises(InvalidInputError, match=says):
        place(actor=bench.actor, picture=_photo(add, bench), **given)


def test_a_placing_stands_until_it_is_withdrawn_with_a_reason(add: Adder, bench: Bench) -> None:
    picture = _photo(add, bench)
    here = place(actor=bench.actor, picture=picture, kind="finding", key="F-15", x=0.25, y=1.0)
    assert list(places_of(bench.project, "finding", "F-15")) == [here]
    with pytest.raises(ConflictError, match="already placed"):
        place(actor=bench.actor, picture=picture, kind="finding", key="F-15", x=0.2501, y=1.0)
    withdraw_placing(actor=bench.actor, placing=here, because="the other pin")
    assert not placings_on(picture)
    assert picture.placings.get().withdrawn_because == "the other pin"
    actions = ChangeRecord.objects.filter(kind="placing").order_by("id").values_list("action", flat=True)
    assert list(actions) == ["added", "withdrawn"]


def test_what_lies_on_a_withdrawn_picture_lies_nowhere(add: Adder, bench: Bench) -> None:
    picture = _photo(add, bench)
    place(actor=bench.actor, picture=picture, kind="connector", key="J7", x=0.5, y=0.5)
    withdraw_picture(actor=bench.actor, picture=picture, because="of another revision")
    assert not places_of(bench.project, "connector", "J7")
    assert not pictures_of(bench.revision)
    with pytest.raises(ConflictError, match="withdrawn"):
        place(actor=bench.actor, picture=picture, kind="connector", key="J8", x=0.5, y=0.5)


def test_only_photos_and_bundles_of_the_project_are_taken(add: Adder, bench: Bench) -> None:
    with pytest.raises(InvalidInputError, match="is a sweep"):
        add_picture(actor=bench.actor, revision=bench.revision, side="top", evidence=add(files.sweep()))
    with pytest.raises(InvalidInputError, match="is a photo"):
        add_drawing(actor=bench.actor, revision=bench.revision, evidence=add(files.picture()))


def test_a_bundle_becomes_both_sides_once_its_layers_are_confirmed(add: Adder, bench: Bench) -> None:
    drawing = _drawing(add, bench, gerber.board(PAD))
    assert (drawing.state, drawing.has_profile) == ("drawn", True)
    sides = {one.side: one for one in pictures_of(bench.revision)}
    assert set(sides) == {"top", "bottom"}
    # 20 mm × 10 mm with a rim of 1 mm beside the outline of 0.1 mm, at 20 pixels a millimetre.
    assert (sides["top"].width, sides["top"].height) == (442, 242)
    assert _frame(sides["top"]).to_pixels.at(2, 6) == pytest.approx(((1.05 + 2) * 20, 5.05 * 20))
    with pytest.raises(ConflictError, match="drawn already"):
        confirm_layers(actor=bench.actor, drawing=drawing, layers={})


def test_what_cannot_be_drawn_says_why_and_may_be_confirmed_otherwise(add: Adder, bench: Bench) -> None:
    bundle = gerber.board("%SRX2Y1I5J0*%\n" + PAD + "%SR*%\n")
    drawing = _drawing(add, bench, bundle)
    assert drawing.state == "refused"
    assert "top.gbr: it repeats whole blocks" in drawing.problem
    confirm_layers(actor=bench.actor, drawing=drawing, layers={"top.gbr": "not drawn"})
    run_waiting()
    drawing.refresh_from_db()
    assert drawing.state == "drawn"
    assert [one.side for one in drawing.pictures.all()] == ["bottom"]


@pytest.mark.parametrize(
    ("layers", "says"),
    [({"top.gbr": "gold"}, "no layer"), ({"top.gbr": "holes", "bottom.gbr": "holes"}, "copper")],
)
def test_a_mapping_without_copper_is_refused(
    add: Adder, bench: Bench, layers: dict[str, str], says: str
) -> None:
    evidence = add(gerber.board(PAD))
    drawing = add_drawing(actor=bench.actor, revision=bench.revision, evidence=evidence)
    with pytest.raises(InvalidInputError, match=says):
        confirm_layers(actor=bench.actor, drawing=drawing, layers=layers)


@pytest.fixture
def next_revision(bench: Bench) -> Revision:
    return add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision, values={})


def test_two_drawn_revisions_differ_by_what_came_and_went(
    add: Adder, bench: Bench, next_revision: Revision
) -> None:
    older = _top(_drawing(add, bench, gerber.board(PAD + gerber.flash("R,1X1", (15, 8)))))
    newer = _top(_drawing(add, bench, gerber.board(PAD + gerber.flash("C,2", (15, 2))), next_revision))
    fit = _fit(older, newer)
    found = difference(older, newer, fit, "copper")
    # A circle of 2 mm came, a square of 1 mm went; half a pixel of 1/20 mm along their edges.
    assert found.unit == "mm²"
    assert found.added == pytest.approx(math.pi, abs=0.5 / 20 * 2 * math.pi)
    assert found.removed == pytest.approx(1.0, abs=0.5 / 20 * 4)
    assert [(one.added > 0, one.removed > 0) for one in found.regions] == [(True, False), (False, True)]
    centre = found.regions[0].left + found.regions[0].width / 2
    assert centre * older.width == pytest.approx(_frame(older).to_pixels.at(15, 2)[0], abs=20)
    assert difference(older, newer, fit, "holes").added == 0


def test_the_same_board_differs_nowhere_even_if_it_lies_elsewhere_in_its_file(
    add: Adder, bench: Bench, next_revision: Revision
) -> None:
    one = _top(_drawing(add, bench, gerber.board(PAD)))
    wider = gerber.board(PAD, width=30, height=15)
    other = _top(_drawing(add, bench, wider, next_revision))
    found = difference(one, other, _fit(one, other), "copper")
    assert (found.added, found.removed) == (0, 0)


def test_a_photo_is_laid_over_by_points(add: Adder, bench: Bench, next_revision: Revision) -> None:
    base = _photo(add, bench)
    image = Image.new("RGB", (200, 400), "blue")
    # The same board turned by 90°, with its red half at the top now.
    image.paste((255, 0, 0), (0, 0, 200, 200))
    image.paste((255, 255, 255), (80, 300, 120, 340))
    stream = io.BytesIO()
    image.save(stream, "PNG")
    over = _photo(add, bench, stream.getvalue(), next_revision)
    assert fit_of(base, over) is None
    pairs = [[0, 0, 1, 0], [1, 0, 1, 1], [1, 1, 0, 1]]
    kept = keep_point_pairs(actor=bench.actor, base=base, over=over, pairs=pairs)
    assert kept.kind == "similarity"
    assert kept.residual_px == pytest.approx(0, abs=1e-9)
    fit = _fit(base, over)
    assert fit.transform.at(200, 0) == pytest.approx((0, 0), abs=1e-9)
    assert _fit(over, base).transform.at(0, 0) == pytest.approx((200, 0), abs=1e-9)
    turned = np.asarray(Image.open(io.BytesIO(laid_over(base, over, fit))).convert("RGB"))
    assert turned.shape == (200, 400, 3)
    assert turned[100, 50, 0] > 200 > turned[100, 390, 0]
    found = difference(base, over, fit, "brightness")
    assert found.unit == "%"
    # 40 × 40 of 400 × 200 pixels became white.
    assert found.added == pytest.approx(2.0, abs=0.2)
    (region,) = found.regions
    assert region.left <= 0.75 <= 0.85 <= region.left + region.width + 0.01
    assert Image.open(io.BytesIO(difference_picture(found))).size == (400, 200)


def test_points_that_do_not_fit_and_other_sides_are_refused(add: Adder, bench: Bench) -> None:
    base, over = _photo(add, bench), _photo(add, bench)
    with pytest.raises(InvalidInputError, match="far apart"):
        keep_point_pairs(actor=bench.actor, base=base, over=over, pairs=[[0, 0, 0.5, 0.5], [1, 1, 0.5, 0.5]])
    with pytest.raises(InvalidInputError, match="outside"):
        keep_point_pairs(actor=bench.actor, base=base, over=over, pairs=[[0, 0, 0, 0], [2, 1, 1, 1]])
    BoardPicture.objects.filter(pk=over.pk).update(side="bottom")
    over.refresh_from_db()
    with pytest.raises(InvalidInputError, match="same side"):
        keep_point_pairs(actor=bench.actor, base=base, over=over, pairs=[[0, 0, 0, 0], [1, 1, 1, 1]])


def test_a_zip_of_something_else_is_no_evidence(add: Adder) -> None:
    with pytest.raises(InvalidInputError, match="none of the files is a Gerber"):
        add(packed([("a.txt", b"hello")]))
    assert not Evidence.objects.exists()
