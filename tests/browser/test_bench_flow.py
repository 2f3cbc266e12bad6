"""A reading that passes, one that fails, one the meter cannot decide, one withdrawn: in a real browser.

All on the invented demo, at the bench page of board 0006, with JavaScript on and off.
"""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]


def read(page: Page, target: str, value: str, *, uncertainty: str = "") -> None:
    """Record a value as a person would: open the check, type, Enter."""
    page.goto(f"/p/saltlark/bench/0006/?target={target}")
    page.get_by_label("± U").fill(uncertainty)
    page.get_by_label("reads").fill(value)
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text(target)


def last_reading(page: Page) -> str:
    return page.get_by_role("status").inner_text()


def test_a_reading_inside_its_limits_passes(page: Page) -> None:
    read(page, "RLD-2", "3.298", uncertainty="0.004")
    expect(page.get_by_role("status")).to_contain_text("pass")
    assert "inside 3.234 … 3.366 V by 64 mV, 16 times the uncertainty" in last_reading(page).lower().replace(
        " v ", " V "
    ).replace("mv", "mV")


def test_a_reading_far_outside_fails(page: Page) -> None:
    read(page, "RLD-2", "3.181", uncertainty="0.001")
    expect(page.get_by_role("status")).to_contain_text("fail")


def test_a_reading_the_meter_cannot_decide_is_flagged_with_what_would_do(page: Page) -> None:
    read(page, "RLD-2", "3.300", uncertainty="0.2")
    expect(page.get_by_role("status")).to_contain_text("undecidable")
    assert "66 mV or less would do" in last_reading(page)


def test_a_wrong_entry_is_withdrawn_and_stays_readable(page: Page) -> None:
    read(page, "RLD-2", "33.2", uncertainty="0.001")
    page.get_by_role("button", name="Withdraw").click()
    expect(page.get_by_role("status")).to_contain_text("withdrawn")
    page.goto("/p/saltlark/targets/RLD-2/")
    expect(page.locator("s", has_text="33.2").first).to_be_visible()


def test_bad_input_says_what_is_allowed_and_keeps_what_was_typed(page: Page) -> None:
    page.goto("/p/saltlark/bench/0006/?target=RLD-2")
    page.get_by_label("reads").fill("3,3")
    page.keyboard.press("Enter")
    expect(page.locator("#reads-problem")).to_contain_text(re.compile("comma", re.IGNORECASE))
    assert page.get_by_label("reads").input_value() == "3,3"


def test_a_failing_prerequisite_raises_a_stop_sign(page: Page) -> None:
    read(page, "RLD-2", "3.181", uncertainty="0.001")
    page.goto("/p/saltlark/bench/0006/?target=RLD-5")
    expect(page.locator("#stop")).to_contain_text("Stop. RLD-5 needs RLD-2, which failed on this board.")
    read(page, "RLD-2", "3.317", uncertainty="0.001")
    page.goto("/p/saltlark/bench/0006/?target=RLD-5")
    expect(page.locator("#stop")).to_have_count(0)


def test_the_keyboard_alone_records_and_moves_on(page: Page) -> None:
    page.goto("/p/saltlark/bench/0006/?target=RLD-3")
    expect(page.get_by_label("reads")).to_be_focused()
    page.keyboard.type("1.201")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("RLD-3")
    expect(page.get_by_label("reads")).to_be_focused()
    assert page.get_by_label("reads").input_value() == ""
