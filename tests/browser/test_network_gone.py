"""Nothing typed at the bench is lost when the network is gone."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.site import Site, sign_in

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]


def test_readings_wait_on_the_computer_and_arrive_once(site: Site, chromium: Browser) -> None:
    context = chromium.new_context(base_url=site.address, viewport={"width": 1280, "height": 800})
    page = context.new_page()
    sign_in(page)
    page.goto("/p/saltlark/bench/0006/?target=RLD-1")
    context.set_offline(offline=True)
    page.get_by_label("reads").fill("6.0123")
    page.keyboard.press("Enter")
    expect(page.get_by_text("1 reading waiting")).to_be_visible()
    context.set_offline(offline=False)
    page.reload()
    expect(page.get_by_text("1 reading waiting")).to_have_count(0)
    page.goto("/p/saltlark/measurements/?target=RLD-1&board=0006")
    expect(page.get_by_text("6.0123")).to_have_count(1)
    context.close()
