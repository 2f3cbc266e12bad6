"""Derived answers that a caller keeps and only asks whether they still hold (RFC 9110, 13.1.2)."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

from drf_spectacular.utils import OpenApiResponse
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response

from api.views import LogbookView
from logbook.bench.queries.last_write import last_write
from logbook.common.unchanged import ASK_AGAIN, entity_tag, is_known

NOT_MODIFIED = {304: OpenApiResponse(description="Nothing changed since the `ETag` named by If-None-Match.")}
P = ParamSpec("P")
V = TypeVar("V", bound=LogbookView)
Method = Callable[Concatenate[V, Request, P], Response]


def kept_while_unchanged(get: Method[V, P]) -> Method[V, P]:
    """Answer 304 where nothing was written since the version named by ``If-None-Match``.

    Token and scope were checked before. Only an answer with 200 carries a tag; it holds for one person and
    one address, and membership is a write: whoever loses it has a tag that no longer fits.
    """

    @wraps(get)
    def asked(view: V, request: Request, /, *args: P.args, **kwargs: P.kwargs) -> Response:
        # Before the answer is read: what is written meanwhile makes the next call read anew.
        tag = entity_tag(last_write(), view.person.pk, request.get_full_path())
        known = is_known(tag, request.headers.get("If-None-Match"))
        answer = (
            Response(status=status.HTTP_304_NOT_MODIFIED) if known else get(view, request, *args, **kwargs)
        )
        answer.headers["ETag"] = tag
        answer.headers["Cache-Control"] = ASK_AGAIN
        answer.headers["Vary"] = "Authorization"
        return answer

    return asked
