"""Placing on a board picture in a browser: by a click, by the arrow keys, and without a script."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.browser.site import Site, sign_in

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]


def _open(page: Page, label: str = "C") -> None:
    page.goto(f"/p/saltlark/rev/{label}/pictures/")
    page.get_by_role("link", name="Top side, drawn").click()
    expect(page.locator("#picture-image")).to_be_visible()


def test_a_click_places_a_finding_where_it_was_clicked(page: Page) -> None:
    _open(page)
    page.get_by_label("What").select_option("finding:F-17")
    page.get_by_label("Remark").fill("at the crystal")
    image = page.locator("#picture-image")
    box = image.bounding_box()
    assert box is not None
    rows = page.locator("tbody tr").filter(has_text="F-17")
    before = rows.count()
    # A second one beside the first: at the same place it would be refused as sent twice.
    x = box["width"] / 4 + 40 * before
    image.click(position={"x": x, "y": box["height"] / 2})
    expect(rows).to_have_count(before + 1)
    expect(page.get_by_text("(ringed)")).to_be_visible()
    # The outline of the board, 100 mm by 60 mm, is 0.1 mm wide, with a rim of 1 mm around it.
    x_mm, y_mm = (float(word) for word in rows.last.locator("td").last.inner_text().split(","))
    assert x_mm == pytest.approx(102.1 * x / box["width"] - 1.05, abs=0.6)
    assert y_mm == pytest.approx(30.0, abs=0.6)
    page.goto("/p/saltlark/findings/F-17/")
    expect(page.get_by_role("link", name="top side of C, at the crystal").first).to_be_visible()


@pytest.fixture
def scripted(site: Site, chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(base_url=site.address, viewport={"width": 1280, "height": 800})
    opened = context.new_page()
    sign_in(opened)
    yield opened
    context.close()


def test_the_arrow_keys_move_a_cross_and_enter_places(scripted: Page) -> None:
    _open(scripted, "B")
    scripted.get_by_label("What").select_option("test point:COM-4")
    scripted.locator("#picture-image").focus()
    for key in ("Shift+ArrowRight", "ArrowRight", "Shift+ArrowUp"):
        scripted.keyboard.press(key)
    expect(scripted.locator("#cross-readout")).to_have_text("55.25 % from the left, 45.00 % from the top")
    scripted.keyboard.press("Enter")
    expect(scripted.locator("tbody tr").filter(has_text="COM-4")).to_have_count(1)


def test_pictures_and_their_difference_are_accessible(scripted: Page) -> None:
    _open(scripted)
    assert not Axe().run(scripted).response["violations"]
    scripted.get_by_role("link", name="B, drawn").click()
    expect(scripted.get_by_role("link", name="Difference")).to_be_visible()
    assert not Axe().run(scripted).response["violations"]
    scripted.get_by_role("link", name="Difference").click()
    expect(scripted.get_by_text("added in C", exact=False).first).to_be_visible()
    assert not Axe().run(scripted).response["violations"]
