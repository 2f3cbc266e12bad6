"""Answers of thousands of lines, written at once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import orjson
from rest_framework.renderers import JSONRenderer


class QuickJSONRenderer(JSONRenderer):
    """JSON as the framework writes it, some ten times as fast; what only the framework knows, it writes."""

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,
        renderer_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        """Return the answer as bytes."""
        if data is not None and self.get_indent(accepted_media_type or "", renderer_context or {}) is None:
            try:
                return orjson.dumps(data)
            except orjson.JSONEncodeError:
                pass
        written: bytes = super().render(data, accepted_media_type, renderer_context)
        return written
