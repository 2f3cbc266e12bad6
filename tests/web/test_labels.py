"""The pages of labels, and what a scanned code leads to."""

from __future__ import annotations

from dataclasses import fields
from io import BytesIO
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.conf import LazySettings
from django.contrib.staticfiles import finders
from django.test import Client
from pypdf import PdfReader
from pytest_django import DjangoAssertNumQueries

from logbook.projects.models import Connector
from logbook.recall.labels.codes import code_of
from logbook.recall.labels.layout import laid_out
from logbook.recall.labels.qr import QUIET
from logbook.recall.labels.sizes import SIZES, SheetSize
from logbook.web.views.labels import LabelsPage, SheetPage, WhichPage
from tests.boards.choices_of_tern import add_link, add_mode
from tests.builders import Bench, build_bench
from tests.recall.labels.qr_reader import read_qr
from tests.web.contexts import received

P = "/p/tern/"


@pytest.fixture
def connector(bench: Bench) -> Connector:
    """Return J7."""
    return add_link(bench, add_mode(bench))


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    """Return a browser in which the reader is signed in."""
    client.force_login(bench.reader)
    return client


def test_the_page_offers_every_board_in_use(reader: Client, bench: Bench) -> None:
    bench.extra_board("0002")
    answer = reader.get(f"{P}labels/")
    assert [row.label.serial for row in answer.context["rows"]] == ["0001", "0002"]
    assert {field.name for field in fields(LabelsPage)} <= received(answer)


def test_a_link_from_a_connector_asks_for_its_labels_only(reader: Client, connector: Connector) -> None:
    answer = reader.get(f"{P}labels/?connector=J7")
    assert [row.label.connector for row in answer.context["rows"]] == ["J7"]


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("size=a4-3x8&of=boards&start=25&board=0001", "24 positions"),
        ("size=a4-3x8&of=boards&start=1", "required"),
        ("size=a4-3x8&of=connectors&start=1&board=0001", "at least one connector"),
        ("size=a4-9x9&of=boards&start=1&board=0001", "a4-9x9"),
        ("size=a4-3x8&of=boards&start=1&board=9999", "9999"),
    ],
    ids=["position", "no board", "no connector", "sheet", "board"],
)
@pytest.mark.parametrize("door", ["labels/", "labels/sheets/", "labels.pdf"])
def test_what_cannot_be_printed_is_told(
    reader: Client, connector: Connector, door: str, query: str, says: str
) -> None:
    answer = reader.get(f"{P}{door}?{query}", follow=True)
    assert answer.status_code == 400
    assert says in answer.content.decode()


def test_the_query_count_does_not_grow(
    reader: Client, bench: Bench, connector: Connector, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """Session, person, membership, boards and connectors twice; then differences and truths of all boards."""
    for number in range(2, 9):
        bench.extra_board(f"000{number}")
    with django_assert_max_num_queries(26):
        reader.get(
            f"{P}labels/?of=both&size=a4-3x8&start=1&connector=J7&board=" + "&board=".join(["0001", "0008"])
        )
    with django_assert_max_num_queries(26):
        reader.get(f"{P}labels/")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.key)
def test_a_sheet_as_pdf_has_the_size_of_its_paper(reader: Client, bench: Bench, size: SheetSize) -> None:
    answer = reader.get(f"{P}labels.pdf?of=boards&size={size.key}&start=1&board=0001")
    (page,) = PdfReader(BytesIO(answer.content)).pages
    assert float(page.mediabox.width) == pytest.approx(size.paper.width / 25.4 * 72, abs=0.1)
    assert float(page.mediabox.height) == pytest.approx(size.paper.height / 25.4 * 72, abs=0.1)
    assert "TERN 0001 A ·" in page.extract_text()


def test_the_code_drawn_in_the_pdf_can_be_read(reader: Client, bench: Bench, settings: LazySettings) -> None:
    settings.LOGBOOK_PUBLIC_URL = "https://logbook.example"
    answer = reader.get(f"{P}labels.pdf?of=boards&size=a4-3x8&start=1&board=0001")
    assert read_qr(squares_in(answer.content)) == f"HTTPS://LOGBOOK.EXAMPLE{code_of(bench.board).path}"


def squares_in(pdf: bytes) -> list[list[bool]]:
    """Return the modules from the boxes one unit high that a page draws, in units of modules."""
    page = PdfReader(BytesIO(pdf)).pages[0]
    contents = page.get_contents()
    assert contents is not None
    dark: set[tuple[int, int]] = set()
    steps = [(operands, operator) for operands, operator in contents.operations if operator in {b"m", b"l"}]
    for at, (operands, operator) in enumerate(steps):
        if operator == b"m":
            (x, y), (end, _) = map(float, operands), map(float, steps[at + 1][0])
            dark |= {(column, round(y)) for column in range(round(x), round(end))}
    side = max(x for x, _ in dark) + 1
    return [[(x, y) in dark for x in range(QUIET, side)] for y in range(QUIET, side)]


def test_sheets_are_shown_for_printing_from_the_browser(reader: Client, bench: Bench) -> None:
    bench.extra_board("0002")
    answer = reader.get(f"{P}labels/sheets/?of=boards&size=a4-3x8&start=24&board=0001&board=0002")
    page = answer.content.decode()
    assert page.count('<section class="paper">') == 2
    assert {field.name for field in fields(SheetPage)} <= received(answer)
    assert "TERN 0002 A ·" in page


def test_the_style_sheet_knows_the_size_of_every_paper() -> None:
    found = finders.find("logbook/css/labels.css")
    assert found
    text = Path(found).read_text()
    for size in SIZES:
        assert f"@page {size.paper.key} {{ size: {size.paper.width:g}mm {size.paper.height:g}mm" in text


def test_a_single_label_is_a_picture(reader: Client, connector: Connector) -> None:
    for address in (f"{P}boards/0001/label.png", f"{P}boards/0001/connectors/J7/label.png?size=a4-4x10"):
        answer = reader.get(address)
        assert answer["Content-Type"] == "image/png"
        assert answer.content.startswith(b"\x89PNG")
    assert reader.get(f"{P}boards/0001/label.png?size=none").status_code == 400


def test_scanning_opens_the_page_of_the_board(reader: Client, bench: Bench) -> None:
    answer = reader.get(code_of(bench.board).path)
    assert (answer.status_code, answer["Location"]) == (302, f"{P}boards/0001/")


def test_scanning_a_connector_opens_its_page_at_the_board(
    reader: Client, bench: Bench, connector: Connector
) -> None:
    answer = reader.get(code_of(bench.board, connector).path)
    assert answer["Location"] == f"{P}connectors/J7/#board-0001"
    assert 'id="board-0001"' in reader.get(f"{P}connectors/J7/").content.decode()


def test_the_address_on_the_label_is_the_one_the_site_was_told(
    reader: Client, bench: Bench, settings: LazySettings
) -> None:
    settings.LOGBOOK_PUBLIC_URL = "https://logbook.example"
    (row,) = reader.get(f"{P}labels/").context["rows"]
    address = urlsplit(row.label.address)
    assert (address.scheme, address.hostname) == ("https", "logbook.example")
    modules = laid_out(row.label, SIZES[0]).qr.rows
    assert read_qr([line[QUIET:-QUIET] for line in modules[QUIET:-QUIET]]) == row.label.address


def test_a_typed_code_leads_to_the_same_page(reader: Client, bench: Bench) -> None:
    answer = reader.get("/b/", {"code": code_of(bench.board).text.lower()})
    assert answer["Location"] == f"{P}boards/0001/"
    shown = reader.get("/b/")
    assert {field.name for field in fields(WhichPage)} <= received(shown)


def test_who_is_not_signed_in_signs_in_first(client: Client, bench: Bench) -> None:
    path = code_of(bench.board).path
    answer = client.get(path)
    assert answer.status_code == 302
    assert answer["Location"] == f"/sign-in/?next={path}"


@pytest.mark.parametrize(
    "address", ["/b/TERN/0001/A", "/b/TERN/0001/A/%3F", "/b/?code=tern+0003+a", "/b/0001"]
)
def test_a_wrong_code_leads_on(reader: Client, bench: Bench, address: str) -> None:
    answer = reader.get(address)
    page = answer.content.decode()
    assert answer.status_code == 404
    assert {field.name for field in fields(WhichPage)} <= received(answer)
    assert f'href="{P}boards/0001/"' in page
    assert code_of(bench.board).text in page
    assert 'action="/search/"' in page


def test_what_was_typed_is_shown_as_text(reader: Client) -> None:
    page = reader.get("/b/", {"code": "<script>x</script> 0001 A"}).content.decode()
    assert "<script>x" not in page.lower()
    assert "&lt;SCRIPT&gt;X" in page


@pytest.mark.parametrize("address", ["{path}", "/b/TERN/0001/A/0", "/b/TERN/0001/A", "/b/0001"])
def test_a_stranger_is_told_nothing_of_a_board(client: Client, bench: Bench, address: str) -> None:
    client.force_login(bench.stranger)
    answer = client.get(address.format(path=code_of(bench.board).path))
    page = answer.content.decode()
    assert answer.status_code == 404
    assert "No board you may see has a code like this one" in page
    assert "/p/tern/" not in page
    assert "Tern" not in page


def test_several_boards_of_one_code_are_offered(client: Client, bench: Bench) -> None:
    other = build_bench("gull")
    type(bench.project).objects.update(code="TRN")
    bench.project.memberships.create(user=other.reader, role="reader")
    bench.board.project.code = "TRN"
    client.force_login(other.reader)
    shown = client.get(code_of(bench.board).path).content.decode()
    assert "/p/tern/boards/0001/" in shown
    assert "/p/gull/boards/0001/" in shown
