"""One row of the open-risk list before decisions are laid over it."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.core.risk import Risk


@dataclass(frozen=True)
class OpenRow:
    """A risk with what the page shows of its subject; ``targets`` are the keys one decision covers."""

    risk: Risk
    title: str
    subsystems: tuple[str, ...]
    targets: tuple[str, ...] = ()
    finding: str = ""
