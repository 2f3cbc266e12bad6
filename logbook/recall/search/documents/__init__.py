"""What is to be found: one module for each part of the site, each listing its kinds of documents."""

from __future__ import annotations

from logbook.recall.search.documents import at_the_bench, design, learned
from logbook.recall.search.documents.document import Found, Ids, Source

__all__ = ["KINDS", "SOURCES", "Found", "Ids", "Source"]

SOURCES: dict[str, Source] = {
    source.kind: source for source in (*design.SOURCES, *at_the_bench.SOURCES, *learned.SOURCES)
}
KINDS = tuple(SOURCES)
