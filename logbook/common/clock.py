"""The one clock of the site, so that a replayed history can carry its own days."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime

from django.utils import timezone

_standing_at: ContextVar[datetime | None] = ContextVar("clock_standing_at", default=None)


def now() -> datetime:
    """Return the present moment, or the moment a replay stands at."""
    return _standing_at.get() or timezone.now()


@contextmanager
def standing_at(moment: datetime) -> Iterator[None]:
    """Let everything recorded inside carry ``moment``; used only to replay the invented demo."""
    token = _standing_at.set(moment)
    try:
        yield
    finally:
        _standing_at.reset(token)
