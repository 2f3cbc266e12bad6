"""Somebody who never saw the site comes back to a board after years."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]


def test_from_sign_in_to_what_was_never_verified_and_what_to_do_first(page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="Saltlark", exact=True).first.click()
    page.get_by_role("navigation", name="Three doors").get_by_role("link", name="Look back").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Look back at Saltlark")
    page.get_by_role("link", name="Never verified", exact=True).click()
    never = page.get_by_role("region", name="Never verified, on any revision")
    expect(never).to_be_in_viewport()
    expect(never.get_by_role("listitem")).to_have_count(9)
    first = page.get_by_role("region", name="First safe steps").get_by_role("listitem")
    expect(first.nth(0)).to_contain_text("nothing connected: take board 0006")
    expect(first.nth(1)).to_contain_text("limit 120 mA for first power")
    expect(first).to_have_count(3)


def test_the_first_check_is_one_click_from_the_bench(page: Page) -> None:
    page.goto("/p/saltlark/look-back/")
    page.get_by_role("link", name="Take it to the bench").click()
    expect(page.get_by_role("main")).to_contain_text("MEM-5")


def test_the_day_of_the_return_can_be_chosen(page: Page) -> None:
    page.goto("/p/saltlark/look-back/")
    page.get_by_label("As it stood on").fill("2024-05-06")
    page.get_by_role("button", name="Show", exact=True).click()
    never = page.get_by_role("region", name="Never verified, on any revision")
    expect(never.get_by_role("listitem")).to_have_count(16)
    expect(page.get_by_role("region", name="What is really on each connector")).to_contain_text("0005: 3.3 V")


def test_the_last_day_is_written_down_and_found_again(page: Page) -> None:
    page.goto("/p/heronbar/state/")
    page.get_by_label("shelved").check()
    page.get_by_role("button", name="Record it").click()
    expect(page.get_by_label("State of each board")).not_to_be_empty()
    page.get_by_label("Charge of the cells").fill("No cell on this board.")
    page.get_by_role("button", name="Keep the note").click()
    stopped = page.get_by_role("region", name="Where it stopped")
    unsafe = page.get_by_role("region", name="Before you plug it in")
    expect(unsafe).to_contain_text("Cells: No cell on this board.")
    expect(stopped.get_by_role("heading", name="Shelving note")).to_contain_text("iv")
