"""README's own lines post readings for one board; verdicts, coverage and risks answer accordingly."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.site import ROOT, Site, sign_in

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]


def readme_script() -> str:
    """Return the Python block of the README."""
    found = re.search(r"```python\n(.*?)```", (ROOT / "README.md").read_text(), re.DOTALL)
    assert found is not None
    return found[1]


def run_script(site: Site, tmp_path: Path, token: str, **changed: str) -> str:
    """Run README's script against the served demo, with other values where given."""
    text = readme_script().replace("paste the token here", token)
    text = text.replace("http://127.0.0.1:8000", site.address)
    for name, value in changed.items():
        text, count = re.subn(rf'"{name}": [^,}}]+', f'"{name}": {value}', text)
        assert count == 1, name
    script = tmp_path / "post.py"
    script.write_text(text)
    done = subprocess.run([sys.executable, "-I", str(script)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


@pytest.fixture
def token(site: Site) -> str:
    made = site.manage("create_token", "--user", "iv", "--scopes", "read,record")
    return made.strip().splitlines()[-1]


@pytest.fixture
def designer(site: Site, chromium: Browser) -> Page:
    page = chromium.new_context(base_url=site.address).new_page()
    sign_in(page)
    return page


def test_the_ten_lines_post_a_reading_and_get_the_verdict(site: Site, tmp_path: Path, token: str) -> None:
    answer = run_script(site, tmp_path, token)
    promised = re.search(r"```text\n(.*?)\n```", (ROOT / "README.md").read_text(), re.DOTALL)
    assert promised is not None
    assert answer == promised[1]
    assert len(readme_script().strip().splitlines()) <= 12


def test_pages_change_with_the_readings_a_script_posts(
    site: Site, tmp_path: Path, token: str, designer: Page
) -> None:
    run_script(site, tmp_path, token, key='"the rail stands"')
    designer.goto("/p/saltlark/rev/C/risks/")
    risk = designer.get_by_role("row", name=re.compile("CLK-6"))
    expect(risk).to_have_count(1)
    answer = run_script(
        site, tmp_path, token, target='"CLK-6"', value='"31"', unit='"ps rms"',
        expanded_uncertainty="4", instrument='""', key='"clk-6 by script"',
    )  # fmt: skip
    assert answer.startswith("pass - inside ≤ 50 ps rms by 19 ps")
    designer.reload()
    expect(risk).to_have_count(0)
    designer.goto("/p/saltlark/rev/C/?state=verified")
    expect(designer.get_by_role("link", name="CLK-6")).to_have_count(1)


def test_a_failing_reading_opens_a_risk(site: Site, tmp_path: Path, token: str, designer: Page) -> None:
    # Nothing needs PIN-6, so the other tests on this site go on as if it had not failed.
    answer = run_script(
        site, tmp_path, token, target='"PIN-6"', value='"300"', unit='"uA"', expanded_uncertainty="1",
        key='"pin-6 by script"',
    )  # fmt: skip
    assert answer.startswith("fail - outside")
    designer.goto("/p/saltlark/rev/C/risks/?kind=failing")
    expect(designer.get_by_role("row", name=re.compile("failing.*PIN-6"))).to_have_count(1)
