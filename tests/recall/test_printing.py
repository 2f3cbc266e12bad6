"""Pages as PDF: what is in them, and what they may not reach."""

from __future__ import annotations

import builtins
import sys
from io import BytesIO
from typing import Any

import pytest
from PIL import ImageFile
from pypdf import PdfReader

from logbook.recall.printing import PrintingUnavailableError, pdf_of

SITE = "https://logbook.example/p/tern/"
# The smallest PNG there is: one grey pixel (PNG specification, third edition, section 11.2).
PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b550000000a49444154789c6360000000020001"
    "48afa4710000000049454e44ae426082"
)


def page(body: str, head: str = "") -> str:
    return f'<!doctype html><html lang="en"><head><title>Sheet</title>{head}</head><body>{body}</body></html>'


def read(made: bytes) -> PdfReader:
    return PdfReader(BytesIO(made))


def images_in(made: bytes) -> int:
    return sum(len(one.images) for one in read(made).pages)


def test_it_holds_the_text_with_the_signs_of_the_trade() -> None:
    text = read(pdf_of(page("<p>4.7 kΩ, 10 µF, 2 nV/√Hz, ±5 %</p>"), address=SITE)).pages[0].extract_text()
    assert "4.7 kΩ, 10 µF, 2 nV/√Hz, ±5 %" in text


def test_it_is_tagged_and_says_its_title_and_language() -> None:
    """ISO 14289-1:2014 (PDF/UA-1), 7.1 and 7.2: tagged, with a title and a language."""
    made = read(pdf_of(page("<h1>Sheet</h1>"), address=SITE))
    catalogue: Any = made.trailer["/Root"]
    assert catalogue["/MarkInfo"]["/Marked"]
    assert catalogue["/Lang"] == "en"
    assert made.metadata is not None
    assert made.metadata.title == "Sheet"


def test_links_lead_back_to_the_site() -> None:
    made = read(pdf_of(page('<a href="/p/tern/findings/F-01/">F-01</a>'), address=SITE))
    links: Any = made.pages[0]["/Annots"]
    assert links[0].get_object()["/A"]["/URI"] == "https://logbook.example/p/tern/findings/F-01/"


def test_a_picture_given_is_shown() -> None:
    html = page('<img src="/evidence/1.png" alt="scope">')
    assert images_in(pdf_of(html, address=SITE, pictures={"/evidence/1.png": PIXEL})) == 1


@pytest.mark.parametrize(
    "src",
    [
        "/evidence/1.png",
        "file:///etc/hostname",
        "https://elsewhere.example/1.png",
        "http://logbook.example/static/logbook/mark.svg",
        "/static/../settings.py",
        "data:image/png;base64,iVBORw0KGgo=",
    ],
)
def test_nothing_else_is_read(src: str, caplog: pytest.LogCaptureFixture) -> None:
    assert images_in(pdf_of(page(f'<img src="{src}" alt="">'), address=SITE)) == 0
    assert "Failed to load image" in caplog.text


def test_style_sheets_of_the_site_count() -> None:
    sheet = '<link rel="stylesheet" href="/static/logbook/css/print.css">'
    plain = read(pdf_of(page("<form>send</form>"), address=SITE)).pages[0].extract_text()
    styled = read(pdf_of(page("<form>send</form>", sheet), address=SITE)).pages[0].extract_text()
    assert plain.strip() == "send"
    assert styled.strip() == ""


def test_pictures_that_break_off_are_still_refused_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(sys.modules, "weasyprint.images", raising=False)
    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    pdf_of(page(""), address=SITE)
    assert ImageFile.LOAD_TRUNCATED_IMAGES is False


@pytest.mark.parametrize("error", [ImportError("no module"), OSError("cannot load library 'pango-1.0'")])
def test_a_missing_library_says_what_to_do(error: Exception, monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any) -> Any:
        if name == "weasyprint":
            raise error
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(PrintingUnavailableError, match=r"board-logbook\[pdf\].*from the browser"):
        pdf_of(page(""), address=SITE)
