"""Where labels lie on a sheet, and what they say when there is little room."""

from __future__ import annotations

from datetime import date
from io import BytesIO

import pytest
from PIL import Image

from logbook.boards.commands import record_board_event
from logbook.common.errors import InvalidInputError
from logbook.recall.labels.codes import LabelCode
from logbook.recall.labels.content import Label, labels_of
from logbook.recall.labels.layout import BOLD, PLAIN, laid_out
from logbook.recall.labels.picture import png_of
from logbook.recall.labels.sheets import sheets_of
from logbook.recall.labels.sizes import LETTER, SIZES, SheetSize, size_named
from tests.boards.choices_of_tern import add_link, add_mode
from tests.builders import Bench
from tests.recall.labels.qr_reader import read_qr

LONG = tuple(f"fact {number} of a board that was changed by hand more than once" for number in range(12))


def label(*facts: str) -> Label:
    code = LabelCode("SLK", "0006", "C")
    address = f"HTTPS://LOGBOOK.EXAMPLE{code.path}"
    return Label("0006", "", code, "Saltlark 0006, revision C", facts, "as of 2026-11-25", address)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.key)
def test_every_label_lies_on_the_paper_and_on_no_other(size: SheetSize) -> None:
    corners = [size.corner(position) for position in range(size.count)]
    assert len(set(corners)) == size.count
    for x, y in corners:
        assert 0 <= x <= size.paper.width - size.width + 1e-9
        assert 0 <= y <= size.paper.height - size.height + 1e-9
    assert corners[1][0] - corners[0][0] >= size.width
    assert corners[size.columns][1] - corners[0][1] == pytest.approx(size.height)


def test_the_margins_are_those_of_the_sheets_in_inches() -> None:
    """3 × 10 of 2 5/8 × 1 inch begin 1/2 inch below the top, 3/16 inch from the left (common practice)."""
    size = next(one for one in SIZES if one.paper == LETTER and one.count == 30)
    assert size.top == pytest.approx(12.7, abs=0.05)
    assert size.left == pytest.approx(4.76, abs=0.1)
    assert size.width == pytest.approx(2.625 * 25.4, abs=0.05)


def test_it_begins_at_the_first_free_position() -> None:
    size = size_named("a4-3x8")
    sheets = sheets_of([label("As drawn")] * 4, size, start=23)
    assert [len(sheet.labels) for sheet in sheets] == [2, 2]
    first = sheets[0].labels[0]
    assert (first.x, first.y) == (70.0, 0.5 + 7 * 37.0)
    assert (sheets[1].labels[0].x, sheets[1].labels[0].y) == (0.0, 0.5)


@pytest.mark.parametrize("start", [0, 25])
def test_a_position_the_sheet_lacks_is_refused(start: int) -> None:
    with pytest.raises(InvalidInputError, match="no position"):
        sheets_of([label()], size_named("a4-3x8"), start=start)


@pytest.mark.parametrize("facts", [(), ("As drawn",), LONG, (" ".join(LONG),)], ids=["0", "1", "12", "long"])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.key)
def test_everything_lies_inside_its_label(size: SheetSize, facts: tuple[str, ...]) -> None:
    drawn = laid_out(label(*facts), size)
    assert drawn.qr_x + drawn.qr_side <= size.width
    assert drawn.qr_side <= size.height
    for text in drawn.texts:
        reach = text.x + len(text.text) * text.size * (BOLD if text.is_bold else PLAIN)
        assert reach <= size.width + 0.01
        assert text.y <= size.height
    lines = [text.y for text in drawn.texts]
    assert lines == sorted(lines)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.key)
def test_a_scanner_finds_modules_large_enough(size: SheetSize) -> None:
    """0.33 mm, four dots of a printer of 300 dots per inch, is a common least size (common practice)."""
    assert laid_out(label("As drawn"), size).module >= 0.33


def test_what_is_left_out_is_said() -> None:
    texts = [text.text for text in laid_out(label(*LONG), size_named("a4-4x10")).texts]
    assert texts[-2] == "… more: see its page"
    assert texts[-1] == "as of 2026-11-25"


def test_a_board_says_where_it_differs_and_what_would_harm_it(bench: Bench) -> None:
    (made,) = labels_of([bench.board], [], site="http://testserver", on=date(2026, 11, 25))
    assert made.facts == ("Never connect: mains", "As drawn", "Power: 9 to 16 V, limit 150 mA")
    assert made.heading == "Tern, rev A"
    assert made.address == f"HTTP://TESTSERVER{made.code.path}"


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.key)
def test_a_damaged_board_says_so_first_on_every_size(bench: Bench, size: SheetSize) -> None:
    record_board_event(actor=bench.actor, board=bench.board, state="damaged", note="U7 shorted. " * 20)
    (made,) = labels_of([bench.board], [], site="http://testserver", on=date(2026, 11, 25))
    said = " ".join(text.text.strip() for text in laid_out(made, size).texts)
    assert "• DAMAGED: do not power" in said
    assert made.facts[:2] == ("DAMAGED: do not power", "Never connect: mains")


def test_a_connector_says_what_is_on_it_on_that_board(bench: Bench) -> None:
    connector = add_link(bench, add_mode(bench))
    both = labels_of([bench.board], [connector], site="http://testserver", on=date(2026, 11, 25))
    assert [one.connector for one in both] == ["", "J7"]
    said = " ".join(both[1].facts)
    assert both[1].facts[:2] == (
        "By design: TIA-232 levels",
        "MODE at R88 by design, not looked at on this board",
    )
    assert "the legend says 3V3 UART" in said
    assert "2 TX -15 to -5 V at mark" in said


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.key)
def test_the_picture_has_its_size_and_its_code_can_be_read(size: SheetSize) -> None:
    one = label("As drawn")
    drawn = laid_out(one, size)
    with Image.open(BytesIO(png_of(drawn))) as image:
        assert image.size[0] / image.info["dpi"][0] * 25.4 == pytest.approx(size.width, abs=0.1)
        assert image.size[1] / image.info["dpi"][1] * 25.4 == pytest.approx(size.height, abs=0.1)
        assert read_qr(modules_in(image, drawn.qr_x + drawn.qr_side)) == one.address


def modules_in(image: Image.Image, until_mm: float) -> list[list[bool]]:
    """Return the modules left of a place: the box around all that is dark, cut by the width of a finder."""
    left = image.crop((0, 0, round(until_mm / 25.4 * 300), image.height)).point(lambda value: 255 - value)
    box = left.getbbox()
    assert box is not None
    code = left.crop(box)
    finder = next(x for x in range(code.width) if not code.getpixel((x, 0)))  # the first blank one
    module = finder / 7
    count = round(code.width / module)
    middle = [round((at + 0.5) * module - 0.5) for at in range(count)]
    return [[bool(code.getpixel((x, y))) for x in middle] for y in middle]
