"""Captures in a browser: added, analysed while the page waits, drawn range by range, read without a mouse."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.browser.site import Site, sign_in
from tests.evidence import files

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]
GLITCH_AT, ROWS = 123_457, 200_000


def _add(page: Page, data: bytes, name: str, kind: str = "text/csv") -> None:
    page.goto("/p/saltlark/evidence/new/")
    page.set_input_files("#id_file", [{"name": name, "mimeType": kind, "buffer": data}])
    page.get_by_role("button", name="Add them").click()


def test_a_capture_is_analysed_while_its_page_waits(page: Page) -> None:
    _add(page, files.tone(level=0.25 + time.time() % 0.1), "tone.wav", "audio/wav")
    for _ in range(50):
        if page.get_by_role("heading", name="Numbers").is_visible():
            break
        page.wait_for_timeout(200)
        if page.get_by_text("Look again").is_visible():
            # Where the link leads; it goes away by itself where a script waits.
            page.goto(page.url)
    expect(page.get_by_role("row", name=re.compile("^level .*dBFS"))).to_be_visible()
    expect(page.get_by_text("being analysed")).to_have_count(0)


@pytest.fixture
def capture(site: Site, chromium: Browser) -> Iterator[Page]:
    """Return the page of a long capture with one sample that sticks out, drawn."""
    context = chromium.new_context(base_url=site.address, viewport={"width": 1280, "height": 800})
    opened = context.new_page()
    sign_in(opened)
    _add(opened, files.square_wave(ROWS, glitch_at=GLITCH_AT), "glitch.csv")
    expect(opened.locator("#capture-canvas")).to_be_visible(timeout=30_000)
    opened.wait_for_load_state("networkidle")
    yield opened
    context.close()


def _views(page: Page) -> list[dict[str, Any]]:
    """Collect every range the page fetches from now on."""
    found: list[dict[str, Any]] = []

    def keep(response: Any) -> None:
        if "/view/" in response.url:
            found.append(response.json() | {"asked": parse_qs(urlsplit(response.url).query)})

    page.on("response", keep)
    return found


def test_a_glitch_is_seen_at_every_zoom_and_no_range_fetches_all_points(capture: Page) -> None:
    views = _views(capture)
    box = capture.locator("#capture-canvas").bounding_box()
    assert box is not None
    at = box["x"] + 76 + (box["width"] - 88) * GLITCH_AT / ROWS
    capture.mouse.move(at, box["y"] + 100)
    for _ in range(14):
        capture.mouse.wheel(0, -100)
        capture.wait_for_timeout(120)
    capture.wait_for_timeout(300)
    widths = [float(one["asked"]["stop"][0]) - float(one["asked"]["start"][0]) for one in views]
    assert len(views) >= 10
    assert min(widths) < 0.05 * ROWS * 1e-6
    assert all(len(one["low"]) <= 2000 for one in views)
    assert all(max(one["high"]) == 9 for one in views)


def test_it_is_read_with_the_keyboard_alone(capture: Page) -> None:
    canvas, readout = capture.locator("#capture-canvas"), capture.locator("#capture-readout")
    canvas.focus()
    capture.keyboard.press("ArrowRight")
    expect(readout).to_contain_text(re.compile(r"time \d+.* V"))
    first = readout.inner_text()
    capture.keyboard.press("+")
    capture.keyboard.press("Shift+ArrowRight")
    capture.wait_for_timeout(300)
    capture.keyboard.press("ArrowRight")
    assert readout.inner_text() != first
    views = _views(capture)
    for key, begins, ends in (("End", 0.5, 1), ("Home", 0, 0.5), ("0", 0, 1)):
        capture.keyboard.press(key)
        capture.wait_for_timeout(400)
        asked = views[-1]["asked"]
        assert float(asked["start"][0]) == pytest.approx(begins * (ROWS - 1) * 1e-6, abs=1e-5)
        assert float(asked["stop"][0]) == pytest.approx(ends * (ROWS - 1) * 1e-6, abs=1e-5)


def test_its_table_holds_what_the_picture_shows(capture: Page) -> None:
    capture.get_by_text("As a table").click()
    table = capture.locator(".capture-table table")
    expect(table.get_by_role("columnheader", name="CH1 highest, V")).to_be_visible()
    expect(table.get_by_role("cell", name="9", exact=True)).to_be_visible()
    capture.locator("#capture-canvas").focus()
    for _ in range(6):
        capture.keyboard.press("+")
    capture.keyboard.press("Home")
    capture.wait_for_timeout(400)
    expect(table.get_by_role("cell", name="9", exact=True)).to_have_count(0)
    expect(table.get_by_role("cell", name="3.3", exact=True).first).to_be_visible()


def test_a_logarithmic_time_axis_is_asked_of_the_server(capture: Page) -> None:
    views = _views(capture)
    capture.get_by_label("log x").check()
    capture.wait_for_timeout(500)
    view = views[-1]
    assert view["asked"]["axis"] == ["log"]
    # Even in log x: as many stretches in the last decade as in the one before.
    assert sum(x >= 0.02 for x in view["x"]) == pytest.approx(
        sum(0.002 <= x < 0.02 for x in view["x"]), rel=0.2
    )
    assert max(view["high"]) == 9


def test_what_a_logarithmic_level_cannot_show_is_counted(capture: Page) -> None:
    capture.get_by_label("log y").check()
    expect(capture.locator("#capture-log-note")).to_contain_text("reach 0 or below")


def test_a_recording_opens_with_its_level_and_a_key_leads_to_a_few_periods(
    site: Site, chromium: Browser
) -> None:
    context = chromium.new_context(base_url=site.address, viewport={"width": 390, "height": 844})
    opened = context.new_page()
    sign_in(opened)
    _add(opened, files.tone(level=0.7), "long.wav", "audio/wav")
    canvas = opened.locator("#capture-canvas")
    expect(canvas).to_be_visible(timeout=30_000)
    opened.wait_for_load_state("networkidle")
    expect(opened.get_by_label("log y")).to_be_hidden()
    views = _views(opened)
    canvas.focus()
    opened.keyboard.press("p")
    opened.wait_for_url("**of=samples**")
    opened.wait_for_load_state("networkidle")
    asked = views[-1]["asked"]
    assert asked["of"] == ["samples"]
    # Five periods of 997 Hz.
    assert float(asked["stop"][0]) - float(asked["start"][0]) == pytest.approx(5 / 997, rel=1e-3)
    context.close()


def test_the_page_of_a_capture_is_accessible(capture: Page) -> None:
    assert not Axe().run(capture).response["violations"]
