"""Rules every template keeps: nothing inline, nothing from elsewhere, one h1 a page."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.template.loader import get_template

ROOT = Path(__file__).parents[2]
TEMPLATES = ROOT / "templates"
ALL = sorted(TEMPLATES.rglob("*.html"))
NAMES = [str(path.relative_to(TEMPLATES)) for path in ALL]
STYLES = sorted((ROOT / "logbook/web/static").rglob("*.css"))
CODE_BLOCKS = re.compile(r"{#.*?#}|{%\s*comment.*?endcomment\s*%}", re.DOTALL)
TAGS = re.compile(r"{%.*?%}", re.DOTALL)

FORBIDDEN = {
    "style attribute": r"\sstyle\s*=",
    "style element": r"<style\b",
    "event attribute": r"\son[a-z]+\s*=",
    "javascript address": r"javascript:",
    "script without a source": r"<script(?![^>]*\bsrc=)",
    "script that is no module": r"<script(?![^>]*\btype=\"module\")",
    "file from elsewhere": r"\s(src|href)\s*=\s*[\"'](https?:)?//",
}


def _text(path: Path) -> str:
    return CODE_BLOCKS.sub("", path.read_text())


@pytest.mark.parametrize("rule", FORBIDDEN.values(), ids=FORBIDDEN.keys())
@pytest.mark.parametrize("path", ALL, ids=NAMES)
def test_nothing_is_inline_or_from_elsewhere(path: Path, rule: str) -> None:
    assert not re.search(rule, TAGS.sub("", _text(path)))


@pytest.mark.parametrize("path", ALL, ids=NAMES)
def test_nothing_is_trusted_unseen(path: Path) -> None:
    assert not re.search(r"\|\s*safe\b|autoescape\s+off", _text(path))


@pytest.mark.parametrize("name", NAMES)
def test_it_can_be_read(name: str) -> None:
    assert get_template(name)


@pytest.mark.parametrize(
    "path", [path for path in ALL if not path.name.startswith("_")], ids=lambda p: p.name
)
def test_a_page_has_at_most_one_h1_of_its_own(path: Path) -> None:
    assert len(re.findall(r"<h1\b", _text(path))) <= 1


@pytest.mark.parametrize("path", ALL, ids=NAMES)
def test_every_form_that_posts_carries_its_token(path: Path) -> None:
    for form in re.findall(r"<form\b[^>]*method=\"post\".*?</form>", _text(path), re.DOTALL):
        assert "{% csrf_token %}" in form


@pytest.mark.parametrize("path", ALL, ids=NAMES)
def test_every_column_head_says_what_it_heads(path: Path) -> None:
    assert not re.search(r"<th(?![^>]*\bscope=)(?=[\s>])", _text(path))


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.name)
def test_styles_load_nothing_from_elsewhere(path: Path) -> None:
    assert not re.search(r"@import|url\(\s*[\"']?(https?:)?//", path.read_text())


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.name)
def test_styles_stand_in_a_layer(path: Path) -> None:
    outside = re.sub(r"/\*.*?\*/", "", path.read_text(), flags=re.DOTALL).strip()
    assert outside.startswith("@layer")
