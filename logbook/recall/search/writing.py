"""Making documents from objects and keeping them in the index."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import chain, islice
from typing import TypeVar

from logbook.recall.models import Document, Word
from logbook.recall.search.documents import SOURCES, Found, Source
from logbook.recall.search.index import Texts, text_index
from logbook.recall.search.tokens import main_key, tokens_of
from logbook.recall.search.typos import keep_words

SLICE = 500
T = TypeVar("T")
WRITTEN = ("project_id", "for_everyone", "key", "main_key", "title", "place", "body", "address", "at")


def refresh(kind: str, ids: Collection[int]) -> None:
    """Make the documents of these objects anew; one that is no longer to be found goes."""
    source = SOURCES[kind]
    for some in slices_of(sorted(ids), SLICE):
        found = list(source.rows(some))
        _forget(kind, set(some) - {one.object_id for one in found})
        _keep(source, found)


def rebuild() -> int:
    """Forget every document and make all anew; returns how many there are."""
    text_index().clear()
    for table in (Document, Word):
        table.objects.all().delete()
    count = 0
    for source in SOURCES.values():
        for some in slices_of(source.rows(None), SLICE):
            _keep(source, some)
            count += len(some)
    return count


def slices_of(rows: Iterable[T], size: int) -> Iterator[list[T]]:
    """Return rows in lists of at most ``size``."""
    left = iter(rows)
    while some := list(islice(left, size)):
        yield some


def _forget(kind: str, object_ids: Collection[int]) -> None:
    gone = Document.objects.filter(kind=kind, object_id__in=object_ids)
    ids = list(gone.values_list("pk", flat=True)) if object_ids else []
    if ids:
        text_index().remove(ids)
        gone.delete()


def _keep(source: Source, found: Sequence[Found]) -> None:
    """Store documents under (kind, object), and their tokens under the same id."""
    documents = [_document(source, one) for one in found]
    Document.objects.bulk_create(
        documents,
        update_conflicts=True,
        unique_fields=["kind", "object_id"],
        update_fields=[name.removesuffix("_id") for name in WRITTEN],
    )
    stored = Document.objects.filter(kind=source.kind, object_id__in=[one.object_id for one in found])
    ids = dict(stored.values_list("object_id", "pk"))
    texts = [_texts(ids[one.object_id], one) for one in documents]
    text_index().write(texts)
    keep_words(chain.from_iterable(_words(texts)))


def _document(source: Source, found: Found) -> Document:
    return Document(
        kind=source.kind,
        object_id=found.object_id,
        project_id=found.project_id,
        for_everyone=found.for_everyone,
        key=found.key,
        main_key=main_key(found.key)[:200],
        title=found.title[:300],
        place=found.place[:200],
        body=found.body,
        address=list(found.address),
        at=found.at,
    )


def _texts(pk: int, document: Document) -> Texts:
    keys, title, body = (tuple(tokens_of(text)) for text in (document.key, document.title, document.body))
    return Texts(pk, (*keys, document.main_key) if document.main_key else keys, title, body)


def _words(texts: Iterable[Texts]) -> Iterator[Iterable[str]]:
    for text in texts:
        yield from (text.keys, text.title, text.body)
