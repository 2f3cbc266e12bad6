"""Pages of board pictures: adding, confirming layers, placing without a script, laying over."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pytest_django import DjangoAssertNumQueries, Settings

from logbook.common.jobs import run_waiting
from logbook.evidence.models import BoardPicture, Drawing, Evidence, Placing, PointPairs
from logbook.findings.commands import record_finding
from logbook.projects.commands import add_revision
from logbook.web.views.pictures.drawing import DrawingPage
from logbook.web.views.pictures.overlay import OverlayPage, PointsPage
from logbook.web.views.pictures.placing import PicturePage
from logbook.web.views.pictures.revision import PicturesPage
from tests.boards.choices_of_tern import add_link, add_mode
from tests.builders import Bench
from tests.evidence import files
from tests.evidence.gerber import files as gerber
from tests.web.contexts import received

PICTURES = "/p/tern/rev/A/pictures/"
PAD = gerber.rectangle(2, 2, 6, 4)


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, settings: Settings) -> None:
    settings.LOGBOOK_DATA = tmp_path


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    client.force_login(bench.editor)
    return client


def _photo(client: Client, label: str = "A", data: bytes = b"") -> BoardPicture:
    file = SimpleUploadedFile("top.png", data or files.picture("PNG", (1800, 900)))
    answer = client.post(f"/p/tern/rev/{label}/pictures/photo/", {"side": "top", "file": file})
    assert answer.status_code == 302
    run_waiting()
    return BoardPicture.objects.latest("pk")


def _drawn(client: Client, bundle: bytes, label: str = "A") -> BoardPicture:
    client.post(f"/p/tern/rev/{label}/pictures/gerber/", {"file": [SimpleUploadedFile("board.zip", bundle)]})
    drawing = Drawing.objects.latest("pk")
    chosen = {f"layer-{place}": row["layer"] for place, row in enumerate(drawing.layers)}
    assert client.post(f"/p/tern/drawings/{drawing.pk}/", chosen).status_code == 302
    run_waiting()
    return drawing.pictures.get(side="top")


def _finding(bench: Bench) -> None:
    record_finding(
        actor=bench.actor, project=bench.project, key="F-15", title="crossed", subsystem=bench.subsystem,
        found_on=bench.board, values={"severity": "S2"},
    )  # fmt: skip


def test_a_connector_leads_to_its_place_and_its_mark_back(editor: Client, bench: Bench) -> None:
    add_link(bench, add_mode(bench))
    picture = _photo(editor)
    address = f"/p/tern/pictures/{picture.pk}/"
    assert "on pictures" not in editor.get("/p/tern/connectors/J7/").content.decode()
    editor.post(address, {"what": "connector:J7", "text": "", "x": "25", "y": "50"})
    placing = Placing.objects.get()
    page = editor.get("/p/tern/connectors/J7/").content.decode()
    assert f'<a href="{address}?placing={placing.pk}">top side of A</a>' in page
    assert 'href="/p/tern/connectors/J7/"' in editor.get(address).content.decode()


def test_each_template_receives_its_context(editor: Client, bench: Bench) -> None:
    one, other = _photo(editor), _photo(editor, data=files.picture("PNG", (900, 450)))
    drawn = _drawn(editor, gerber.board(PAD))
    add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision, values={})
    newer = _drawn(editor, gerber.board(PAD + gerber.flash("C,2", (15, 2))), "B")
    pages = {
        PICTURES: PicturesPage,
        f"/p/tern/pictures/{one.pk}/": PicturePage,
        f"/p/tern/drawings/{drawn.drawing_id}/": DrawingPage,
        f"/p/tern/pictures/{one.pk}/over/{other.pk}/points/": PointsPage,
        f"/p/tern/pictures/{drawn.pk}/over/{newer.pk}/": OverlayPage,
        f"/p/tern/pictures/{drawn.pk}/over/{newer.pk}/?show=difference": OverlayPage,
    }
    for address, page in pages.items():
        assert received(editor.get(address)) == {field.name for field in fields(page)}, address
    found = editor.get(f"/p/tern/pictures/{drawn.pk}/over/{newer.pk}/?show=difference").context
    # A circle of 2 mm came.
    assert found["added"] == pytest.approx(3.1416, abs=0.16)
    assert (found["removed"], found["unit"], len(found["regions"])) == (0, "mm²", 1)


def test_it_is_placed_by_a_click_without_a_script(editor: Client, bench: Bench) -> None:
    _finding(bench)
    picture = _photo(editor)
    address = f"/p/tern/pictures/{picture.pk}/"
    # The picture of 1800 × 900 is shown 900 × 450, as its image button says.
    assert 'width="900" height="450"' in editor.get(address).content.decode()
    answer = editor.post(address, {"what": "finding:F-15", "text": "A9", "at.x": "225", "at.y": "450"})
    assert answer.status_code == 302
    placing = Placing.objects.get()
    assert (placing.key, placing.text, placing.x, placing.y) == ("F-15", "A9", 0.25, 1.0)
    assert f"?placing={placing.pk}" in editor.get("/p/tern/findings/F-15/").content.decode()
    assert "/p/tern/findings/F-15/" in editor.get(address).content.decode()


def test_it_is_placed_by_typed_numbers_where_enter_says_no_place(editor: Client) -> None:
    picture = _photo(editor)
    address = f"/p/tern/pictures/{picture.pk}/"
    told = {"what": "note:", "text": "pin 1", "at.x": "0", "at.y": "0"}
    answer = editor.post(address, told)
    assert answer.status_code == 400
    assert "type both numbers" in answer.content.decode()
    editor.post(address, {**told, "x": "12.5", "y": "80"})
    placing = Placing.objects.get()
    assert (placing.x, placing.y) == (0.125, 0.8)
    editor.post(f"{address}placings/{placing.pk}/withdraw/", {"because": "wrong pin"})
    placing.refresh_from_db()
    assert placing.withdrawn_because == "wrong pin"


@pytest.mark.parametrize(
    "given", [{"what": "finding:F-99"}, {"what": "note:"}, {"what": "note:", "x": "101"}]
)
def test_what_cannot_be_placed_is_said_at_its_field(editor: Client, given: dict[str, str]) -> None:
    address = f"/p/tern/pictures/{_photo(editor).pk}/"
    assert editor.post(address, {"x": "1", "y": "1", **given}).status_code == 400
    assert not Placing.objects.exists()


def test_a_reader_places_nothing(bench: Bench, editor: Client) -> None:
    address = f"/p/tern/pictures/{_photo(editor).pk}/"
    editor.force_login(bench.reader)
    assert 'type="image"' not in editor.get(address).content.decode()
    assert editor.post(address, {"what": "note:", "text": "x", "x": "1", "y": "1"}).status_code == 403
    editor.force_login(bench.stranger)
    assert editor.get(address).status_code == 404


def test_loose_gerber_files_become_one_bundle_and_wait_for_their_layers(editor: Client) -> None:
    loose = [
        SimpleUploadedFile("a.gtl", gerber.gerber(PAD).encode()),
        SimpleUploadedFile("x.gko", gerber.gerber(gerber.outline(20, 10)).encode()),
    ]
    answer = editor.post(f"{PICTURES}gerber/", {"file": loose})
    drawing = Drawing.objects.get()
    text = editor.get(answer["Location"]).content.decode()
    assert Evidence.objects.get().name == "tern-A-gerber.zip"
    assert [row["found_by"] for row in drawing.layers] == ["name", "name"]
    assert "Confirm and draw" in text
    assert "outline of the board" in text
    assert drawing.state == "to confirm"


def test_what_is_no_gerber_is_refused_at_its_field(editor: Client) -> None:
    answer = editor.post(f"{PICTURES}gerber/", {"file": [SimpleUploadedFile("a.txt", b"hello")]})
    assert "None of the files is a Gerber" in answer.content.decode()


def test_points_are_named_by_clicks_on_each_picture_in_turn(editor: Client, bench: Bench) -> None:
    one, other = _photo(editor), _photo(editor, data=files.picture("PNG", (900, 450)))
    address = f"/p/tern/pictures/{one.pk}/over/{other.pk}/"
    assert editor.get(address)["Location"].endswith("/points/")
    state: dict[str, Any] = {"pairs": "", "half": ""}
    for name, x, y in (("base", 56, 28), ("over", 56, 28), ("over", 504, 252), ("base", 504, 252)):
        answer = editor.post(f"{address}points/", {**state, f"{name}.x": x, f"{name}.y": y})
        form = answer.context["form"]
        state = {"pairs": form["pairs"].value(), "half": form["half"].value()}
    assert state["pairs"].splitlines() == ["10.00 10.00 10.00 10.00", "90.00 90.00 90.00 90.00"]
    assert editor.post(f"{address}points/", {**state, "keep": "yes"}).status_code == 302
    assert PointPairs.objects.get().kind == "similarity"
    for image in ("laid-over.webp", "difference.webp"):
        assert editor.get(f"{address}{image}")["Content-Type"] == "image/webp"
    answer = editor.post(f"{address}points/", {"pairs": "1 2 3", "half": "", "keep": "yes"})
    assert answer.status_code == 400
    assert editor.post(f"{address}points/", {"pairs": "", "half": "base=x;over=1 2"}).status_code == 400


def test_pictures_of_two_sides_are_not_laid_over_each_other(editor: Client) -> None:
    top = _drawn(editor, gerber.board(PAD))
    bottom = BoardPicture.objects.get(side="bottom")
    assert editor.get(f"/p/tern/pictures/{top.pk}/over/{bottom.pk}/").status_code == 404
    assert editor.get(f"/p/tern/pictures/{top.pk}/over/{top.pk}/").status_code == 404
    assert editor.get(f"/p/tern/pictures/{top.pk}/over/{top.pk + 1}/?feature=x").status_code == 404


def test_the_placings_leave_as_csv_with_millimetres(editor: Client) -> None:
    picture = _drawn(editor, gerber.board(PAD))
    x = (1.05 + 5) * 20 / picture.width * 100
    editor.post(f"/p/tern/pictures/{picture.pk}/", {"what": "note:", "text": "=pad", "x": f"{x}", "y": "50"})
    lines = editor.get("/p/tern/rev/A/pictures.csv").content.decode().splitlines()
    cells = dict(zip(lines[0].split(","), lines[1].split(","), strict=True))
    assert (cells["kind"], cells["text"], cells["x_mm"]) == ("note", "'=pad", "5.00")


def test_pages_cost_the_same_queries_however_much_is_placed(
    editor: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    picture = _photo(editor)
    for n in range(12):
        editor.post(
            f"/p/tern/pictures/{picture.pk}/", {"what": "note:", "text": f"n{n}", "x": f"{n}", "y": "5"}
        )
    with django_assert_max_num_queries(10):
        editor.get(f"/p/tern/pictures/{picture.pk}/")
    with django_assert_max_num_queries(7):
        editor.get(PICTURES)
