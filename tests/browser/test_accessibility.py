"""axe-core finds nothing on any page (WCAG 2.2 AA rules), wide and narrow, light and dark."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.site import Site, sign_in

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

PAGES = [
    "/",
    "/account/",
    "/projects/new/",
    "/instruments/",
    "/instruments/new/",
    "/instruments/DMM-1/",
    "/instruments/DMM-1/edit/",
    "/instruments/DMM-1/calibrations/new/",
    "/calculators/",
    "/calculators/conventions/",
    "/calculators/verdict/?limits=3.3+V+%C2%B1+5+%25&value=3.298+V&expanded_uncertainty=4+mV&coverage_factor=2",
    "/calculators/uncertainty/",
    "/calculators/quantity/",
    "/calculators/preferred-value/",
    "/calculators/sample/",
    "/calculators/attribute/",
    "/lessons/",
    "/lessons/new/",
    "/lessons/HRB-L1/",
    "/lessons/SLK-L2/edit/",
    "/lessons/SLK-L2/target/",
    "/p/saltlark/rev/D/lessons/",
    "/p/saltlark/rev/C/lessons/?lesson=HRB-L1",
    "/p/saltlark/rev/B/lessons/todays-eyes/",
    "/p/saltlark/",
    "/p/saltlark/edit/",
    "/p/saltlark/state/",
    "/p/saltlark/members/",
    "/p/saltlark/changes/",
    "/p/saltlark/subsystems/new/",
    "/p/saltlark/revisions/new/",
    "/p/saltlark/options/new/",
    "/p/saltlark/boards/",
    "/p/saltlark/boards/new/",
    "/p/saltlark/boards/0005/",
    "/p/saltlark/boards/0005/edit/",
    "/p/saltlark/boards/0005/reworks/new/",
    "/p/saltlark/boards/0005/options/",
    "/search/?q=sdram+aliass",
    "/p/saltlark/timeline/",
    "/p/saltlark/bench/",
    "/p/saltlark/bench/0006/",
    "/p/saltlark/bench/0001/?target=RLD-5",
    "/p/saltlark/rev/C/",
    "/p/saltlark/rev/B/?as_of=2021-12-03",
    "/p/saltlark/rev/C/risks/",
    "/p/saltlark/rev/B/bench-plan/?minutes=60&board=0003&board=0004&board=0005",
    "/p/saltlark/rev/C/bill/",
    "/p/saltlark/rev/C/bill/import/",
    "/p/saltlark/rev/C/bill/compare/?with=B",
    "/p/saltlark/rev/C/bill/proposed-changes/?with=B",
    "/p/saltlark/designator-rules/",
    "/p/saltlark/rev/B/errata/",
    "/p/saltlark/findings/",
    "/p/saltlark/findings/new/",
    "/p/saltlark/findings/F-15/",
    "/p/saltlark/findings/F-17/edit/",
    "/p/saltlark/evidence/",
    "/p/saltlark/evidence/new/",
    "/p/saltlark/look-back/",
    "/p/saltlark/look-back/?as_of=2024-05-06",
    "/p/saltlark/shelving-note/",
    "/p/saltlark/targets/",
    "/p/saltlark/targets/new/",
    "/p/saltlark/check-templates/",
    "/p/saltlark/check-templates/?kind=power",
    "/p/saltlark/targets/RLA-4/",
    "/p/saltlark/targets/AFE-1/edit/",
    "/p/saltlark/targets/AFE-1/issue/",
    "/p/saltlark/measurements/",
    "/p/saltlark/measurements/9/",
    "/p/saltlark/measurements/9/withdraw/",
    "/p/saltlark/sessions/",
    "/p/saltlark/sessions/new/",
    "/p/saltlark/sessions/1/",
    "/p/saltlark/sessions/1/edit/",
    "/p/saltlark/import/",
    "/p/nothing-here/",
]
WIDE = {"width": 1280, "height": 800}
NARROW = {"width": 390, "height": 844}


@pytest.fixture(
    scope="module",
    params=[(WIDE, "light"), (NARROW, "dark")],
    ids=["wide and light", "narrow and dark"],
)
def looked_at(request: pytest.FixtureRequest, site: Site, chromium: Browser) -> Iterator[Page]:
    size, scheme = request.param
    context = chromium.new_context(base_url=site.address, viewport=size, color_scheme=scheme)
    page = context.new_page()
    sign_in(page)
    yield page
    context.close()


@pytest.mark.parametrize("address", PAGES)
def test_it_has_no_violations_and_fits_its_window(looked_at: Page, address: str) -> None:
    complaints: list[str] = []
    looked_at.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
    looked_at.goto(address)
    found = Axe().run(looked_at)
    assert found.violations_count == 0, found.generate_report()
    wider = looked_at.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wider <= 0, f"{wider} px wider than the window"
    assert [said for said in complaints if "404" not in said] == []


def test_the_sign_in_page_has_no_violations(site: Site, chromium: Browser) -> None:
    page = chromium.new_context(base_url=site.address).new_page()
    page.goto("/sign-in/")
    assert Axe().run(page).violations_count == 0
