"""Reading JSON without losing a digit: numbers become exact decimals."""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from typing import IO, Any, NoReturn

from django.conf import settings
from rest_framework.exceptions import ParseError
from rest_framework.parsers import BaseParser
from rest_framework.renderers import JSONRenderer

from api.errors import TooLargeError

# Beyond this Python's own conversion grows with the square of the digits.
LONGEST_INT = 40


class DecimalJSONParser(BaseParser):
    """JSON as UTF-8. ``NaN`` and ``Infinity`` are not JSON and are refused."""

    media_type = "application/json"
    renderer_class = JSONRenderer

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """Return the value, its whole numbers as ``int`` and all others as ``Decimal``."""
        text = _text(_body(stream))
        try:
            return json.loads(text, parse_float=Decimal, parse_int=_whole, parse_constant=_refuse)
        except RecursionError:
            raise ParseError("the JSON is nested too deeply") from None
        except ValueError as error:
            raise ParseError(f"this is not JSON: {error}") from error


def _body(stream: IO[Any]) -> bytes:
    most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    body: bytes = stream.read(most + 1)
    if len(body) > most:
        raise TooLargeError(f"the request is larger than {most // 1024**2} MiB; send it in parts")
    return body


def _text(body: bytes) -> str:
    try:
        return body.decode()
    except UnicodeDecodeError as error:
        raise ParseError(f"this is not UTF-8 (byte {error.start})") from error


def _whole(digits: str) -> int | Decimal:
    return int(digits) if len(digits) <= LONGEST_INT else Decimal(digits)


def _refuse(word: str) -> NoReturn:
    raise ParseError(f"{word} is not a number of JSON")
