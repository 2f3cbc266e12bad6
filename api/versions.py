"""Versions of what is edited, as entity tags (RFC 9110, 8.8.3 and 13.1.1)."""

from __future__ import annotations

import re

from rest_framework.request import Request

from logbook.common.errors import InvalidInputError

_TAG = re.compile(r'"([\x21\x23-\x7e]{1,60})"')


def tagged(version: str) -> dict[str, str]:
    """Return the header that says which version an answer shows."""
    return {"ETag": f'"{version}"'}


def seen_by(request: Request) -> str:
    """Return the version a caller changes; empty where any will do."""
    given = request.headers.get("If-Match", "*").strip()
    if given == "*":
        return ""
    tag = _TAG.fullmatch(given)
    if tag is None:
        message = "If-Match takes the ETag the target was read with"
        raise InvalidInputError.of("If-Match", message, given=given, allowed='one tag such as "17.2", or *')
    return tag.group(1)
