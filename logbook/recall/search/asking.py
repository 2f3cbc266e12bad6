"""Asking the search."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache

from django.db.models import Q
from django.urls import reverse

from logbook.accounts.models import User
from logbook.projects.models import Membership, Project
from logbook.recall.models import Document
from logbook.recall.search.documents import SOURCES
from logbook.recall.search.excerpts import Stretch, excerpt, marked
from logbook.recall.search.following import bring_up_to_date
from logbook.recall.search.index import Within, text_index
from logbook.recall.search.ranking import ranked
from logbook.recall.search.terms import LONGEST_QUESTION, Term, board_on_label, terms_of
from logbook.recall.search.tokens import main_key
from logbook.recall.search.typos import words_near

USUAL, MOST = 30, 100
# Readings are so many that they are looked up apart, so that they never crowd out what is sought more often.
CANDIDATES = {"measurement": 100, "": 300}
FEW = 5


@dataclass(frozen=True)
class Hit:
    """One object that was found."""

    kind: str
    key: str
    title: tuple[Stretch, ...]
    where: str
    url: str
    excerpt: tuple[Stretch, ...]
    at: datetime | None


@dataclass(frozen=True)
class Answer:
    """What was found, the best first; whether there was more, and whether the index had everything."""

    hits: tuple[Hit, ...]
    has_more: bool
    is_up_to_date: bool
    is_widened: bool


def search(
    user: User, question: str, *, project: Project | None = None, kind: str = "", limit: int = USUAL
) -> Answer:
    """Return what ``user`` may see of what fits a question. At most twelve queries and one a mistyped word.

    All terms must be met; where few things meet them, also by words they may have been meant for, and where
    none does, any term is enough. What a key among the terms names is then there as well.
    """
    is_complete = bring_up_to_date()
    terms = terms_of(question)
    if not terms:
        return Answer((), has_more=False, is_up_to_date=is_complete, is_widened=False)
    within = Within(user.pk, project.pk if project else None, (kind,) if kind else ())
    asked = main_key(question[:LONGEST_QUESTION])
    ids = _found(terms, within) | _named({asked}, within, board_on_label(question))
    is_widened = len(ids) < FEW
    if is_widened:
        terms = tuple(term.widened(cache(words_near)) for term in terms)
        ids |= _found(terms, within)
        ids |= _named({key for term in terms for key in term.keys if not key.isalpha()}, within)
        if not ids:
            ids = _found(terms, within, all_terms=False)
    documents = Document.objects.filter(pk__in=ids).select_related("project")
    best = ranked(documents, question, terms)
    hits = tuple(_hit(one, terms) for one in best[:limit])
    return Answer(hits, len(best) > limit, is_complete, is_widened)


def _found(terms: Sequence[Term], within: Within, *, all_terms: bool = True) -> set[int]:
    """Return ids of documents that hold the terms. Two queries."""
    index = text_index()
    readings = Within(within.user_id, within.project_id, within.kinds or ("measurement",))
    others = Within(within.user_id, within.project_id, within.kinds, ("measurement",))
    ids = index.find(terms, others, CANDIDATES[""], all_terms=all_terms)
    if "measurement" in readings.kinds:
        ids += index.find(terms, readings, CANDIDATES["measurement"], all_terms=all_terms)
    return set(ids)


def _named(keys: set[str], within: Within, label: tuple[str, str] | None = None) -> set[int]:
    """Return ids of documents with one of these keys, and of the board whose label was read. One query."""
    keys = keys - {""}
    if not keys:
        return set()
    members = Membership.objects.filter(user=within.user_id).values("project_id")
    asked = Q(main_key__in=keys)
    if label:
        project, serial = label
        of_project = Q(project__code__iexact=project) | Q(project__slug__iexact=project)
        asked |= Q(of_project, kind="board", main_key=serial)
    named = Document.objects.filter(Q(for_everyone=True) | Q(project__in=members), asked)
    if within.project_id is not None:
        named = named.filter(project=within.project_id)
    if within.kinds:
        named = named.filter(kind__in=within.kinds)
    return set(named.values_list("pk", flat=True)[:100])


def _hit(document: Document, terms: Sequence[Term]) -> Hit:
    project = document.project
    where = ", ".join(text for text in (project.name if project else "", document.place) if text)
    return Hit(
        kind=document.kind,
        key=document.key,
        title=marked(document.title, terms),
        where=where,
        url=address_of(document),
        excerpt=excerpt(document.body, terms),
        at=document.at,
    )


def address_of(document: Document) -> str:
    """Return the address of the page of a document."""
    source = SOURCES[document.kind]
    slug = (document.project.slug,) if source.is_of_project and document.project else ()
    return reverse(source.page, args=[*slug, *document.address])
