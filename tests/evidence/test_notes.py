"""Notes become HTML that can run nothing and load nothing."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from urllib.parse import urlsplit

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.evidence.notes import LONGEST_NOTE, TAGS, items_of, render_markdown

HOSTILE = {
    "script": "<script>alert(1)</script>",
    "event": '<img src=x onerror="alert(1)">',
    "svg": "<svg/onload=alert(1)>",
    "iframe": '<iframe src="//example.org"></iframe>',
    "link": "[a](javascript:alert(1))",
    "link in capitals": "[a](JaVaScRiPt:alert(1))",
    "link with entity": "[a](java&#115;cript:alert(1))",
    "link with tab": "[a](<java\tscript:alert(1)>)",
    "data link": "[a](data:text/html;base64,PHNjcmlwdD4=)",
    "vbscript": "[a](vbscript:msgbox)",
    "autolink": "<javascript:alert(1)>",
    "title breaks out": '[a](https://example.org "x\\" onmouseover=\\"alert(1)")',
    "style tag": "<style>*{display:none}</style>",
    "form": '<form action="/p/x/"><input name=a></form>',
    "base": '<base href="//example.org">',
    "code fence": '```"><script>alert(1)</script>\n</code><script>alert(2)</script>\n```',
    "footnote": 'a[^"><script>]\n\n[^"><script>]: <script>alert(1)</script>',
    "table": "|<script>a</script>|\n|:-:|\n|<b onclick=a()>|",
    "heading": "# <img onerror=a()>",
}
SCHEMES = {"", "http", "https", "mailto"}


class Reader(HTMLParser):
    """Reads HTML as a browser does and keeps what could run or load something."""

    def __init__(self) -> None:
        super().__init__()
        self.dangers: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in TAGS:
            self.dangers.append(tag)
        for name, value in attrs:
            if name not in {"href", "title", "id", "class", "rel", "start"}:
                self.dangers.append(f"{tag} {name}")
            # A browser drops tabs and newlines inside an address before it reads the scheme.
            plain = re.sub(r"[\t\n\r]", "", value or "").strip()
            if name == "href" and urlsplit(plain).scheme not in SCHEMES:
                self.dangers.append(f"{tag} {value}")


def dangers_in(html: str) -> list[str]:
    reader = Reader()
    reader.feed(html)
    reader.close()
    return reader.dangers


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_it_runs_nothing(text: str) -> None:
    assert dangers_in(render_markdown(text)) == []


@given(st.text(alphabet="<>\"'=/ abonclickjvsrt:()[]!#*_`|-\n&;", max_size=200))
def test_no_text_becomes_dangerous(text: str) -> None:
    assert dangers_in(render_markdown(text)) == []


@pytest.mark.parametrize(
    "html", ["<script>a</script>", "<a href='java\tscript:a'>", '<p onclick="a">', "<p style='a'>"]
)
def test_the_reader_of_these_tests_sees_dangers(html: str) -> None:
    assert dangers_in(html)


def test_a_picture_is_a_link_and_loads_nothing() -> None:
    html = render_markdown("![board](https://example.org/board.png)")
    assert "<img" not in html
    assert 'href="https://example.org/board.png"' in html


def test_links_tell_the_other_side_nothing() -> None:
    assert 'rel="noopener noreferrer nofollow"' in render_markdown("https://example.org")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("**bold**", "<strong>bold</strong>"),
        ("~~gone~~", "<s>gone</s>"),
        ("- [x] done", "☑ done"),
        ("- [ ] open", "☐ open"),
        ("# Rails", '<h3 id="note-rails">Rails</h3>'),
        ("#### deep", '<h6 id="note-deep">deep</h6>'),
        ("a[^1]\n\n[^1]: why", '<li id="fn1" class="footnote-item">'),
        ("`3V3`", "<code>3V3</code>"),
    ],
    ids=["bold", "struck out", "task done", "task open", "heading", "lowest heading", "footnote", "code"],
)
def test_it_reads_the_usual_marks(text: str, expected: str) -> None:
    assert expected in re.sub(r" +", " ", render_markdown(text))


def test_alignment_becomes_a_class() -> None:
    html = render_markdown("|rail|load|\n|---|--:|\n|3V3|210 mA|")
    assert '<td class="align-right">210 mA</td>' in html
    assert "style" not in html


def test_two_headings_of_one_name_have_two_ids() -> None:
    html = render_markdown("# Power\n\n# Power")
    assert 'id="note-power"' in html
    assert 'id="note-power-2"' in html


def test_a_longer_note_is_cut_and_says_so() -> None:
    html = render_markdown("a" * (LONGEST_NOTE + 1))
    assert "Only the first 20,000 characters are shown." in html
    assert "a" * (LONGEST_NOTE + 1) not in html


def test_deep_nesting_ends() -> None:
    assert render_markdown("> " * 5000 + "x")


@pytest.mark.parametrize(
    ("text", "items"),
    [
        ("- a **b**\n- c `d`\n  and on", ("a b", "c d and on")),
        ("1. a\n2. [b](https://example.org)", ("a", "b")),
        ("a\nb\n\n*c*", ("a", "b", "c")),
        ("2 * 3 and U_in", ("2 * 3 and U_in",)),
        ("```\nx\n```", ("x",)),
        ("", ()),
    ],
    ids=["list", "numbered, with a link", "lines", "no marks", "fence", "nothing"],
)
def test_a_note_is_read_item_by_item_without_its_marks(text: str, items: tuple[str, ...]) -> None:
    assert items_of(text) == items
