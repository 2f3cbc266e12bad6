"""Finding anything."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.recall.search.asking import MOST, USUAL, Answer, Hit, search
from logbook.recall.search.excerpts import plain
from logbook.web.access import person, signed_in
from logbook.web.forms.search import SearchForm
from logbook.web.rendering import csv_answer, show

HEADER = ("kind", "title", "where", "address", "excerpt", "when")


@dataclass(frozen=True)
class SearchPage:
    """What the page shows; ``answer`` is there once something was asked."""

    form: SearchForm
    question: str
    answer: Answer | None


@signed_in
@require_safe
def search_page(request: HttpRequest) -> HttpResponse:
    """Show what was found, the best first."""
    form, question, answer = _asked(request, limit=USUAL)
    return show(request, "search/page.html", SearchPage(form, question, answer))


@signed_in
@require_safe
def search_csv(request: HttpRequest) -> HttpResponse:
    """Return the same as a table, and more of it."""
    _, _, answer = _asked(request, limit=MOST)
    lines = [_line(hit) for hit in (answer.hits if answer else ())]
    return csv_answer("search.csv", HEADER, lines)


def _line(hit: Hit) -> tuple[object, ...]:
    moment = hit.at.isoformat() if hit.at else ""
    return hit.kind, plain(hit.title), hit.where, hit.url, plain(hit.excerpt), moment


def _asked(request: HttpRequest, *, limit: int) -> tuple[SearchForm, str, Answer | None]:
    form = SearchForm(person(request), request.GET)
    form.is_valid()
    given = form.cleaned_data
    question = given.get("q", "")
    if not question:
        return form, question, None
    project = form.projects.get(given.get("project", ""))
    answer = search(person(request), question, project=project, kind=given.get("kind", ""), limit=limit)
    return form, question, answer
