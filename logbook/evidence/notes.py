"""Turns what people write into safe HTML.

Two locks: the renderer makes no HTML of the writer's own, and the cleaner lets only known tags through.
Pictures are shown as links, so that a note loads nothing from elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise

import nh3
from markdown_it import MarkdownIt
from markdown_it.token import Token
from mdit_py_plugins.footnote import footnote_plugin
from mdit_py_plugins.tasklists import tasklists_plugin

LONGEST_NOTE = 20_000
# A page has its own h1 and h2; the headings of a note begin below them.
HEADINGS_BELOW = 2
ALIGNMENTS = {f"text-align:{side}": f"align-{side}" for side in ("left", "center", "right")}
OWN_ID = re.compile(r"(?:note-[\w-]+|fn(?:ref)?\d+(?::\d+)?)\Z")
TAGS = {
    *("a", "blockquote", "br", "code", "dd", "del", "dl", "dt", "em", "h3", "h4", "h5", "h6", "hr", "li"),
    *("ol", "p", "pre", "s", "section", "strong", "sup"),
    *("table", "tbody", "td", "th", "thead", "tr", "ul"),
}
CLASSES = {
    "td": {*ALIGNMENTS.values()},
    "th": {*ALIGNMENTS.values()},
    "ul": {"contains-task-list"},
    "ol": {"footnotes-list"},
    "li": {"task-list-item", "footnote-item"},
    "sup": {"footnote-ref"},
    "section": {"footnotes"},
    "hr": {"footnotes-sep"},
    "a": {"footnote-backref"},
}
ATTRIBUTES = {"a": {"href", "title", "id"}, "ol": {"start"}, "li": {"id"}} | {
    f"h{level}": {"id"} for level in range(3, 7)
}


def render_markdown(text: str) -> str:
    """Return ``text`` as safe HTML; beyond 20,000 characters it is cut, and says so."""
    parser = _parser()
    tokens = parser.parse(text[:LONGEST_NOTE])
    for token in _all(tokens):
        _tame(token)
    _name_headings(tokens)
    html = parser.renderer.render(tokens, parser.options, {})
    if len(text) > LONGEST_NOTE:
        html += f"<p><em>Only the first {LONGEST_NOTE:,} characters are shown.</em></p>"
    return nh3.clean(
        html,
        tags=TAGS,
        attributes=ATTRIBUTES,
        allowed_classes=CLASSES,
        attribute_filter=_own_ids_only,
        url_schemes={"http", "https", "mailto"},
        link_rel="noopener noreferrer nofollow",
    )


def items_of(text: str) -> tuple[str, ...]:
    """Return what a note says as plain text: each item of a list, and each line that stands in none."""
    items: list[str] = []
    depth = 0
    for token in _parser().parse(text[:LONGEST_NOTE]):
        if token.type in {"list_item_open", "list_item_close"}:
            depth += token.nesting
        elif token.type == "inline":
            parts = [_plain(child, " " if depth else "\n") for child in token.children or ()]
            items += "".join(parts).split("\n")
        elif token.type in {"fence", "code_block"}:
            items += token.content.split("\n")
    return tuple(" ".join(item.split()) for item in items if item.strip())


def _plain(token: Token, line_end: str) -> str:
    if token.type in {"softbreak", "hardbreak"}:
        return line_end
    return token.content if token.type in {"text", "code_inline"} else ""


@lru_cache(maxsize=1)
def _parser() -> MarkdownIt:
    parser = MarkdownIt("gfm-like", {"html": False})
    parser.use(footnote_plugin).use(tasklists_plugin)
    return parser.disable("image")


def _all(tokens: Iterable[Token]) -> Iterable[Token]:
    for token in tokens:
        yield token
        yield from token.children or ()


def _tame(token: Token) -> None:
    """Map alignment to classes, task boxes to signs and headings to lower ones."""
    style = token.attrs.pop("style", None)
    if style in ALIGNMENTS:
        token.attrJoin("class", ALIGNMENTS[str(style)])
    if token.type == "html_inline":
        is_done = "checked" in token.content
        token.type, token.content = "text", "☑" if is_done else "☐"
    if token.type in {"heading_open", "heading_close"}:
        token.tag = f"h{min(6, int(token.tag[1]) + HEADINGS_BELOW)}"


def _name_headings(tokens: list[Token]) -> None:
    taken: dict[str, int] = {}
    for opening, inline in pairwise(tokens):
        if opening.type == "heading_open":
            name = re.sub(r"[^\w]+", "-", inline.content.lower()).strip("-")[:60] or "heading"
            taken[name] = taken.get(name, 0) + 1
            opening.attrs["id"] = f"note-{name}" if taken[name] == 1 else f"note-{name}-{taken[name]}"


def _own_ids_only(tag: str, attribute: str, value: str) -> str | None:
    return value if attribute != "id" or OWN_ID.match(value) else None
