"""A real headless Chromium in front of a real server holding the invented demo."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.site import FLAGS, Site, served_demo, sign_in
from tests.demo_kept import shared_folder

CHROMIUM = shutil.which("chromium")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """Serve the demo as ``make demo`` does, anew for each module: readings of one must not stop another."""
    template = shared_folder(tmp_path_factory) / "served-demo"
    with served_demo(tmp_path_factory.mktemp("demo"), template=template) as served:
        yield served


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Start Chromium once."""
    if CHROMIUM is None:
        pytest.skip("no chromium on this machine")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(params=["with JavaScript", "without JavaScript"])
def page(request: pytest.FixtureRequest, site: Site, chromium: Browser) -> Iterator[Page]:
    """Return a page of a signed-in designer, with JavaScript and without."""
    context = chromium.new_context(
        base_url=site.address,
        java_script_enabled=request.param == "with JavaScript",
        viewport={"width": 1280, "height": 800},
    )
    opened = context.new_page()
    sign_in(opened)
    yield opened
    context.close()
