"""The bench page under one thumb: the value field and Record in the first screen, nothing to mis-tap."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, FloatRect, Locator, Page, ViewportSize, expect

from tests.browser.site import Site, sign_in

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]
SCREEN: ViewportSize = {"width": 390, "height": 844}
SMALLEST_TARGET = 44


@pytest.fixture
def phone(site: Site, chromium: Browser) -> Iterator[Page]:
    """Return the browser of a signed-in designer's telephone."""
    context = chromium.new_context(base_url=site.address, viewport=SCREEN, has_touch=True)
    opened = context.new_page()
    sign_in(opened)
    yield opened
    context.close()


def box(found: Locator) -> FloatRect:
    measured = found.bounding_box()
    assert measured is not None
    return measured


def bottom(page: Page, found: Locator) -> float:
    measured = box(found)
    return measured["y"] + measured["height"] + float(page.evaluate("window.scrollY"))


@pytest.mark.parametrize(("serial", "target"), [("0006", "MON-2"), ("0006", "CLK-6"), ("0003", "RLD-2")])
def test_value_and_record_are_in_the_first_screen(phone: Page, serial: str, target: str) -> None:
    phone.goto(f"/p/saltlark/bench/{serial}/?target={target}")
    expect(phone.locator("#never-more")).to_have_text("less")
    assert bottom(phone, phone.get_by_label("reads")) < SCREEN["height"]
    assert bottom(phone, phone.get_by_role("button", name="Record")) < SCREEN["height"]


def test_what_never_to_connect_is_one_line_after_the_first_look(phone: Page) -> None:
    phone.goto("/p/saltlark/bench/0006/?target=MON-2")
    whole = box(phone.locator("#never"))["height"]
    phone.reload()
    more = phone.get_by_role("button", name="more", exact=True)
    assert box(phone.locator("#never"))["height"] < whole / 2
    more.click()
    assert box(phone.locator("#never"))["height"] > whole / 2


def test_inconclusive_stands_apart_from_record(phone: Page) -> None:
    phone.goto("/p/saltlark/bench/0006/?target=RLD-2")
    record = box(phone.get_by_role("button", name="Record"))
    apart = box(phone.get_by_role("button", name="Inconclusive"))
    assert apart["y"] - (record["y"] + record["height"]) > 2 * SMALLEST_TARGET
    assert apart["width"] < SCREEN["width"] / 2


def test_previous_and_next_are_large_enough_for_a_thumb(phone: Page) -> None:
    phone.goto("/p/saltlark/bench/0006/?target=RLD-2")
    back, on = box(phone.locator("#move-back")), box(phone.locator("#move-on"))
    assert min(back["height"], on["height"], back["width"], on["width"]) >= SMALLEST_TARGET
    assert on["x"] - (back["x"] + back["width"]) >= 8


def test_a_comma_is_asked_about_and_one_tap_writes_the_point(phone: Page) -> None:
    phone.goto("/p/saltlark/bench/0006/?target=RLD-2")
    reads = phone.get_by_label("reads")
    reads.press_sequentially("3,3")
    expect(phone.locator("#reads-problem")).to_contain_text("Decimal comma: did you mean 3.3?")
    assert reads.input_value() == "3,3"
    phone.get_by_role("button", name="Write 3.3").click()
    assert reads.input_value() == "3.3"
    expect(phone.locator("#reads-problem")).to_be_empty()
