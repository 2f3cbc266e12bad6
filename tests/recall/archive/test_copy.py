"""What the copy in an archive says to somebody who comes back, and that nothing in it is taken for markup."""

from __future__ import annotations

import zipfile
from html.parser import HTMLParser
from pathlib import Path

import pytest

from logbook.boards.commands import record_board_event
from logbook.findings.commands import record_finding
from logbook.projects.commands import (
    PinInput,
    change_connector,
    change_revision,
    create_project,
    set_pins,
    set_project_state,
    write_shelving_note,
)
from logbook.recall.archive.exporting import export_project
from tests.boards.choices_of_tern import add_link, add_mode
from tests.builders import Bench

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("empty_disk")]
HOSTILE = "\"><script>alert(1)</script><img src=x onerror=alert(2)>&amp;'{{ 7 }}"
# Every element a page is made of; there is no script, no form and, without evidence, no picture.
ELEMENTS = {
    "html", "head", "meta", "title", "link", "body", "header", "nav", "main", "footer", "section", "article",
    "h1", "h2", "h3", "p", "a", "strong", "ul", "ol", "li", "dl", "dt", "dd", "div", "table", "thead",
    "tbody", "tr", "th", "td", "br", "time", "span",
}  # fmt: skip


class Elements(HTMLParser):
    """Collects what a browser would take for elements, and the attributes that could run something."""

    def __init__(self) -> None:
        super().__init__()
        self.names: set[str] = set()
        self.runs: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element and those of its attributes that could run something."""
        self.names.add(tag)
        self.runs += [name for name, _ in attrs if name.startswith("on") or name == "style"]
        self.runs += [value for _, value in attrs if value and "javascript:" in value.lower()]


def pages_of(bench: Bench, path: Path) -> dict[str, str]:
    """Return the text of every page of the copy in an archive of the project."""
    export_project(project=bench.project, path=path / "tern.zip")
    with zipfile.ZipFile(path / "tern.zip") as archive:
        names = [name for name in archive.namelist() if name.startswith("copy/") and name.endswith(".html")]
        return {name.removeprefix("copy/"): archive.read(name).decode() for name in names}


@pytest.fixture
def written(bench: Bench, tmp_path: Path) -> dict[str, str]:
    """Return the copy of a shelved project in which everybody wrote markup wherever free text is taken."""
    bench.target(values={"note": HOSTILE})
    bench.read("3.3 V", note=HOSTILE)
    connector = add_link(bench, add_mode(bench))
    change_connector(actor=bench.actor, connector=connector, values={"caution": f"looks alike {HOSTILE}"})
    set_pins(
        actor=bench.actor, connector=connector, revision=bench.revision,
        pins=[PinInput("1", HOSTILE[:60], "ground", HOSTILE)],
    )  # fmt: skip
    change_revision(actor=bench.actor, revision=bench.revision, values={"never_connect": f"mains {HOSTILE}"})
    record_finding(
        actor=bench.actor, project=bench.project, key="F-1", title=f"hum {HOSTILE}",
        subsystem=bench.subsystem, found_on=bench.board, values={"what": HOSTILE, "workaround": HOSTILE},
    )  # fmt: skip
    record_board_event(
        actor=bench.actor, board=bench.board, state="damaged", location=HOSTILE, note=f"smoke {HOSTILE}"
    )
    set_project_state(actor=bench.actor, project=bench.project, state="shelved", note=HOSTILE)
    write_shelving_note(
        actor=bench.actor, project=bench.project,
        texts={"why_stopped": f"money {HOSTILE}", "unsafe": f"the cell {HOSTILE}"},
    )  # fmt: skip
    return pages_of(bench, tmp_path)


@pytest.mark.parametrize(
    ("page", "says"),
    [
        ("index.html", ["Never connect to revision A: mains", "smoke", "money", "the cell", "looks alike"]),
        ("return-brief.html", ["Return brief of Tern", "mains", "money", "First safe steps", "F-1", "smoke"]),
        ("connectors.html", ["J7", "looks alike", "TX", "-15 to -5 V at mark", "where MODE is at R88"]),
        (
            "boards/1-0001.html",
            ["DAMAGED: do not power", "smoke", "Never connect:", "F-1", "hum", "looks alike"],
        ),
        ("revisions/1-A.html", ["Never connect:", "mains"]),
    ],
)
def test_a_page_says_what_somebody_needs_who_comes_back(
    written: dict[str, str], page: str, says: list[str]
) -> None:
    assert [text for text in says if text not in written[page]] == []


def test_nothing_anybody_wrote_becomes_markup(written: dict[str, str]) -> None:
    for name, page in written.items():
        found = Elements()
        found.feed(page)
        assert found.names <= ELEMENTS, name
        assert found.runs == [], name
    assert sum("&lt;script&gt;alert(1)" in page for page in written.values()) > 8


def test_a_project_with_nothing_in_it_has_a_copy_too(bench: Bench, tmp_path: Path) -> None:
    other = create_project(actor=bench.actor, slug="empty", name="Empty", owner=bench.owner)
    bench.project = other
    pages = pages_of(bench, tmp_path)
    assert "Nothing is on record that must not be connected" in pages["index.html"]
    assert "None was written down" in pages["connectors.html"]
    assert "There is no revision" in pages["return-brief.html"]
