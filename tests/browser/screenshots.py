"""Takes the screenshots of README.md from the served demo: ``make screenshots``."""

from __future__ import annotations

import io
import shutil
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.site import FLAGS, ROOT, Site, served_demo, sign_in

FOLDER = ROOT / "docs" / "screenshots"
SIZES = {
    "desktop": {"width": 1280, "height": 1000},
    "phone": {"width": 390, "height": 844},
    "dark": {"width": 1280, "height": 1000},
}
BOARDS = "".join(f"&board={serial:04}" for serial in range(1, 7))
# name of the picture, address, in which sizes
PICTURES = [
    ("bench", "/p/saltlark/bench/0006/?target=MON-2", ("desktop", "phone", "dark")),
    ("revision", "/p/saltlark/rev/C/", ("desktop", "phone")),
    ("stale", "/p/saltlark/rev/C/?state=stale", ("desktop",)),
    ("changes", "/p/saltlark/rev/C/changes/", ("desktop",)),
    ("target", "/p/saltlark/targets/RLA-4/", ("desktop", "phone")),
    ("risks", "/p/saltlark/rev/D/risks/", ("desktop", "dark")),
    ("risks-2024", "/p/saltlark/rev/B/risks/?as_of=2024-06-19", ("desktop",)),
    ("readiness", "/p/saltlark/rev/D/readiness/", ("desktop", "phone")),
    ("bench-plan", "/p/saltlark/rev/C/bench-plan/?minutes=90&board=0006", ("desktop", "phone")),
    ("connector", "/p/saltlark/connectors/J7/", ("desktop",)),
    ("board-picture", "/p/saltlark/pictures/3/", ("desktop",)),
    ("difference", "/p/saltlark/pictures/1/over/3/?show=difference", ("desktop",)),
    ("bill", "/p/saltlark/rev/C/bill/compare/?with=B", ("desktop",)),
    ("lessons", "/p/saltlark/rev/D/lessons/", ("desktop",)),
    ("return", "/p/saltlark/look-back/?as_of=2024-05-06", ("desktop", "phone", "dark")),
    ("labels", "/p/saltlark/labels/sheets/?of=both&connector=J7" + BOARDS, ("desktop",)),
    ("search", "/search/?q=sdram+aliass", ("desktop",)),
    ("timeline", "/p/saltlark/timeline/?before=2024-07-01", ("desktop",)),
    ("waveform", "/p/saltlark/evidence/?text=soft-start", ("desktop",)),
    ("sweep", "/p/saltlark/evidence/?text=flatness", ("desktop",)),
    ("audio", "/p/saltlark/evidence/?text=1khz", ("desktop",)),
    ("calculation", "/p/saltlark/calculations/VREG-5A/", ("desktop",)),
]
# What is done on a page before its picture is taken.
FIRST_OPENED = ("waveform", "sweep", "audio")
SHOWN_AS = {"audio": "Spectrum"}
# A page on a phone is shown as far as this; what comes below it repeats.
LONGEST = 2400
COLOURS = 128


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
            _keep(page, FOLDER / f"{name}-{kind}.png", kind)
    context.close()


def _keep(page: Page, path: Path, kind: str) -> None:
    """Take the picture and keep it with few colours, which a page has anyway."""
    whole = page.evaluate("document.documentElement.scrollHeight")
    clip = {"x": 0, "y": 0, "width": SIZES[kind]["width"], "height": min(whole, LONGEST)}
    taken = page.screenshot(full_page=True, clip=clip) if kind == "phone" else page.screenshot()
    with Image.open(io.BytesIO(taken)) as picture:
        few = picture.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(path, optimize=True)


def _prepare(page: Page, name: str) -> None:
    """Open the one file a list was narrowed to, in the view that tells most."""
    if name in FIRST_OPENED:
        page.locator(".file-name").first.click()
        page.locator("#capture-canvas").wait_for()
    if name in SHOWN_AS:
        page.get_by_role("link", name=SHOWN_AS[name], exact=True).click()
        page.locator("#capture-canvas").wait_for()
    page.wait_for_load_state("networkidle")


if __name__ == "__main__":
    main()
