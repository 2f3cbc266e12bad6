"""What a template really received."""

from __future__ import annotations

from typing import Any


def received(response: Any) -> set[str]:
    """Return the names a view gave its template, without those the frame adds."""
    return set(response.context[0].dicts[-1])
