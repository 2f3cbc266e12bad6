"""The copy in an archive opens from disk: no site, no network, no error, and no link that leads nowhere."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Browser

SAMPLE = Path(__file__).resolve().parents[2] / "fixtures" / "archive" / "v1" / "saltlark.zip"
LINK = re.compile(r'(?:href|src)="([^"#]+)')
PAGES = ["index.html", "findings.html", "lessons.html", "evidence.html", "boards/6-0006.html"]


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("unpacked")
    with zipfile.ZipFile(SAMPLE) as archive:
        archive.extractall(folder)
    return folder / "copy"


@pytest.mark.browser
@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("width", [1280, 390])
def test_a_page_opens_from_disk(chromium: Browser, copy: Path, name: str, width: int) -> None:
    context = chromium.new_context(viewport={"width": width, "height": 800}, offline=True)
    page = context.new_page()
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto((copy / name).as_uri())
    assert page.get_by_role("heading", level=1).count() == 1
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate("[...document.images].every(one => one.loading === 'lazy' || one.naturalWidth > 0)")
    assert said == []
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    context.close()


@pytest.mark.browser
def test_its_style_is_there(chromium: Browser, copy: Path) -> None:
    page = chromium.new_page()
    page.goto((copy / "index.html").as_uri())
    assert page.evaluate("getComputedStyle(document.querySelector('table')).borderCollapse") == "collapse"
    page.close()


def test_every_link_leads_to_a_file_of_the_archive(copy: Path) -> None:
    lost = [
        f"{page.name}: {link}"
        for page in copy.rglob("*.html")
        for link in LINK.findall(page.read_text(encoding="utf-8"))
        if not link.startswith(("data:", "http:", "https:", "mailto:")) and not (page.parent / link).exists()
    ]
    assert lost == []
    assert not any("<script" in page.read_text(encoding="utf-8") for page in copy.rglob("*.html"))
