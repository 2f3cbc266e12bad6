"""The one clock of the site, so that a replayed history can carry its own days."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, datetime

from django.utils import timezone

# Moments beyond these come from clocks never set, and could not be shown in every time zone. Our own choice.
EARLIEST, LATEST = datetime(1900, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)
SENSIBLE = f"from {EARLIEST:%Y-%m-%d} to {LATEST:%Y-%m-%d}"

_standing_at: ContextVar[datetime | None] = ContextVar("clock_standing_at", default=None)


def now() -> datetime:
    """Return the present moment, or the moment a replay stands at."""
    return _standing_at.get() or timezone.now()


def is_sensible(moment: datetime) -> bool:
    """Say whether a moment can be when something happened at a bench; it must have a zone."""
    return EARLIEST <= moment < LATEST


@contextmanager
def standing_at(moment: datetime) -> Iterator[None]:
    """Let everything recorded inside carry ``moment``; used only to replay the invented demo."""
    token = _standing_at.set(moment)
    try:
        yield
    finally:
        _standing_at.reset(token)
