"""Takes the screenshots of README.md from the served demo: ``make screenshots``."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.site import FLAGS, ROOT, Site, served_demo, sign_in

FOLDER = ROOT / "docs" / "screenshots"
SIZES = {
    "desktop": {"width": 1280, "height": 800},
    "phone": {"width": 390, "height": 844},
    "dark": {"width": 1280, "height": 800},
}
# name of the picture, address, in which sizes
PICTURES = [
    ("bench", "/p/saltlark/bench/0006/?target=MON-2", ("desktop", "phone", "dark")),
    ("revision", "/p/saltlark/rev/C/", ("desktop", "phone")),
    ("target", "/p/saltlark/targets/RLA-4/", ("desktop", "phone")),
    ("risks", "/p/saltlark/rev/C/risks/", ("desktop",)),
    ("waveform", "/p/saltlark/evidence/?text=soft-start", ("desktop",)),
    ("sweep", "/p/saltlark/evidence/?text=flatness", ("desktop",)),
    ("audio", "/p/saltlark/evidence/?text=1khz", ("desktop",)),
    ("calculation", "/p/saltlark/calculations/VREG-5A/", ("desktop",)),
    ("labels", "/p/saltlark/labels/sheets/?board=0005&connector=J7", ("desktop",)),
    ("report", "/p/saltlark/rev/C/report/", ("desktop",)),
]
# What is done on a page before its picture is taken.
FIRST_OPENED = ("waveform", "sweep", "audio")
ZOOMED_IN = {"audio": 8}


def main() -> None:
    """Serve the demo, take every picture, stop."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    folder = Path(tempfile.mkdtemp(prefix="logbook-screenshots-"))
    try:
        with served_demo(folder) as site, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
            for kind in SIZES:
                _take(browser, site, kind)
            browser.close()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _take(browser: Browser, site: Site, kind: str) -> None:
    scheme = "dark" if kind == "dark" else "light"
    context = browser.new_context(base_url=site.address, viewport=SIZES[kind], color_scheme=scheme)
    page = context.new_page()
    sign_in(page)
    for name, address, kinds in PICTURES:
        if kind in kinds:
            page.goto(address)
            _prepare(page, name)
            page.screenshot(path=FOLDER / f"{name}-{kind}.png", full_page=kind == "phone")
    context.close()


def _prepare(page: Page, name: str) -> None:
    """Open the one file a list was narrowed to, and show a few periods of what is dense."""
    if name in FIRST_OPENED:
        page.locator(".file-name").first.click()
        page.locator("#capture-canvas").wait_for()
    for _ in range(ZOOMED_IN.get(name, 0)):
        page.get_by_role("button", name="Zoom in").click()
    page.wait_for_load_state("networkidle")


if __name__ == "__main__":
    main()
