"""Pages that a browser keeps and only asks whether they still hold (RFC 9110, 13.1.2)."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.conf import settings
from django.contrib.messages import get_messages
from django.http import HttpRequest, HttpResponse, HttpResponseNotModified

from logbook.bench.queries.last_write import last_write
from logbook.common.unchanged import ASK_AGAIN, entity_tag, is_known
from logbook.web.access import person

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponse]


def kept_while_unchanged(view: View[P]) -> View[P]:
    """Answer 304 where nothing was written since the version the browser has. For views behind ``signed_in``.

    Only a page shown with 200 carries a tag. It holds for one person, one address and one secret of forms,
    and membership is a write: whoever loses it has a tag that no longer fits. A page with a message has none.
    """

    @wraps(view)
    def asked(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        if len(get_messages(request)):
            return view(request, *args, **kwargs)
        # Before the page is read: what is written meanwhile makes the next visit read anew.
        tag = _tag_of(request)
        known = is_known(tag, request.headers.get("If-None-Match"))
        answer = HttpResponseNotModified() if known else view(request, *args, **kwargs)
        if answer.status_code in (200, 304):
            answer.headers["ETag"] = tag
            answer.headers["Cache-Control"] = ASK_AGAIN
        return answer

    return asked


def _tag_of(request: HttpRequest) -> str:
    form_secret = request.COOKIES.get(settings.CSRF_COOKIE_NAME, "")
    return entity_tag(last_write(), person(request).pk, form_secret, request.get_full_path())
