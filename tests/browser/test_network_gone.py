"""Nothing typed at the bench is lost when the network is gone, and nothing of one check reaches another."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.site import Site, sign_in

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]


@pytest.fixture
def page(site: Site, chromium: Browser) -> Iterator[Page]:
    """Return a page of a signed-in designer whose network can be taken away."""
    context = chromium.new_context(base_url=site.address, viewport={"width": 1280, "height": 800})
    opened = context.new_page()
    sign_in(opened)
    yield opened
    context.close()


def read_offline(page: Page, value: str, *, uncertainty: str = "") -> None:
    page.context.set_offline(offline=True)
    page.get_by_label("± U").fill(uncertainty)
    page.get_by_label("reads").fill(value)
    page.keyboard.press("Enter")
    expect(page.get_by_text("Its verdict comes with the network")).to_be_visible()


def test_readings_wait_on_the_computer_and_arrive_once(page: Page) -> None:
    page.goto("/p/saltlark/bench/0006/?target=RLD-1")
    read_offline(page, "6.0123")
    expect(page.get_by_text("1 reading waiting")).to_be_visible()
    page.context.set_offline(offline=False)
    page.reload()
    expect(page.get_by_text("1 reading waiting")).to_have_count(0)
    page.goto("/p/saltlark/measurements/?target=RLD-1&board=0006")
    expect(page.get_by_text("6.0123")).to_have_count(1)


def test_the_verdict_arrives_with_the_network_and_leaves_the_field_alone(page: Page) -> None:
    page.goto("/p/saltlark/bench/0006/?target=RLD-2")
    read_offline(page, "3.3205")
    page.keyboard.type("12")
    page.context.set_offline(offline=False)
    result = page.locator("#result")
    expect(result).to_contain_text("pass")
    expect(result).to_contain_text("Inside 3.234 … 3.366 V")
    expect(result.locator("svg.strip")).to_have_count(1)
    expect(result).not_to_contain_text("Its verdict comes with the network")
    expect(page.get_by_label("reads")).to_be_focused()
    assert page.get_by_label("reads").input_value() == "12"


def test_each_of_several_verdicts_arrives(page: Page) -> None:
    page.goto("/p/saltlark/bench/0006/?target=RLD-2")
    read_offline(page, "3.3206")
    read_offline(page, "1.0007")
    page.context.set_offline(offline=False)
    result = page.locator("#result")
    expect(result.locator(".result-line")).to_have_count(2)
    expect(result).to_contain_text("3.3206")
    expect(result).to_contain_text("1.0007")
    expect(result.get_by_role("button", name="Withdraw")).to_have_count(1)


def test_a_reading_the_site_refuses_says_so_where_its_verdict_was_awaited(page: Page) -> None:
    page.goto("/p/saltlark/bench/0006/?target=RLD-2")
    read_offline(page, "3.3 Hz")
    page.context.set_offline(offline=False)
    expect(page.locator("#result")).to_contain_text("3.3 Hz on RLD-2 was refused")
    page.get_by_role("button", name="Discard it").click()


def test_every_card_carries_its_own_unit_and_no_uncertainty_of_another(page: Page) -> None:
    page.goto("/p/saltlark/bench/0006/?target=RLD-2")
    meter = page.get_by_label("with", exact=True)
    meter.select_option("DMM-1")
    read_offline(page, "3.3207", uncertainty="0.1")
    assert page.locator("#now-where").inner_text() != "digital rails"
    seen = set()
    for _ in range(4):
        unit = page.locator("#now-unit").inner_text()
        seen.add(unit)
        if page.locator("#settings").is_visible():
            assert page.get_by_label("± U").get_attribute("placeholder") == unit
            assert page.get_by_label("± U").input_value() == ""
            expect(page.locator("#now-unit")).to_have_text(unit)
        page.get_by_label("reads").fill("0")
        page.keyboard.press("Enter")
        expect(page.get_by_label("reads")).to_have_value("")
    assert len(seen) > 1
    page.evaluate("localStorage.clear()")
    page.context.set_offline(offline=False)
