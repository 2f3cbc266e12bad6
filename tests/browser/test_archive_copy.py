"""The copy in an archive opens from disk: no site, no network, no error, and no link that leads nowhere."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import pytest
from django.db import transaction
from playwright.sync_api import Browser
from pytest_django import DjangoDbBlocker

from logbook.projects.models import Project
from logbook.recall.archive.exporting import export_project
from tests.demo_kept import lay_demo, shared_folder

LINK = re.compile(r'(?:href|src)="([^"#]+)')
PAGES = [
    "index.html", "return-brief.html", "connectors.html", "findings.html", "lessons.html", "evidence.html",
    "boards/5-0005.html", "boards/6-0006.html", "revisions/3-C.html",
]  # fmt: skip


@pytest.fixture(scope="module")
def copy(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """Return the copy in an archive of the demo, unpacked; the site itself is empty again."""
    folder = tmp_path_factory.mktemp("unpacked")
    with django_db_blocker.unblock(), transaction.atomic():
        lay_demo(shared_folder(tmp_path_factory))
        export_project(project=Project.objects.get(slug="saltlark"), path=folder / "saltlark.zip")
        transaction.set_rollback(True)
    with zipfile.ZipFile(folder / "saltlark.zip") as archive:
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


@pytest.mark.browser
def test_on_paper_the_warnings_stay_and_the_menu_goes(chromium: Browser, copy: Path) -> None:
    page = chromium.new_page()
    page.goto((copy / "boards/5-0005.html").as_uri())
    page.emulate_media(media="print")
    assert page.get_by_text("DAMAGED: do not power").is_visible()
    assert page.get_by_text("Never connect:").is_visible()
    assert not page.locator("header nav").is_visible()
    page.close()


def test_every_anchor_is_there(copy: Path) -> None:
    """A link to a part of another page names a part that page has."""
    anchors = re.compile(r'href="([^"#]*)#([^"]+)"')
    seen = 0
    for page in copy.rglob("*.html"):
        for link, anchor in anchors.findall(page.read_text(encoding="utf-8")):
            target = page.parent / link if link else page
            assert f'id="{anchor}"' in target.read_text(encoding="utf-8"), f"{page.name}: {link}#{anchor}"
            seen += 1
    assert seen > 50


def test_every_link_leads_to_a_file_of_the_archive(copy: Path) -> None:
    lost = [
        f"{page.name}: {link}"
        for page in copy.rglob("*.html")
        for link in LINK.findall(page.read_text(encoding="utf-8"))
        if not link.startswith(("data:", "http:", "https:", "mailto:")) and not (page.parent / link).exists()
    ]
    assert lost == []
    assert not any("<script" in page.read_text(encoding="utf-8") for page in copy.rglob("*.html"))
