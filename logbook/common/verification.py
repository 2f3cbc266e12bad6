"""What ``manage.py verify`` finds: how many things it looked at, and what differs."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

# How many things of each kind were compared.
LookedAt = Counter[str]


@dataclass(frozen=True)
class Discrepancy:
    """Something kept that differs from what the history says."""

    kind: str
    where: str
    kept: str
    recomputed: str

    def __str__(self) -> str:
        return f"{self.kind}, {self.where}: kept {self.kept}; the history says {self.recomputed}"
