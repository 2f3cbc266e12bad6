"""Readings as scripts send them."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tests.performance.world import World

PATH = "/api/v1/measurements/"


def sent_of(world: World, count: int, *, seed: int) -> list[dict[str, Any]]:
    """Return readings as a script sends them."""
    items = [dataclasses.asdict(item) for item in world.readings(count, seed=seed)]
    return [
        {name: value for name, value in item.items() if value not in ("", None, (), {})}
        | {"taken_at": item["taken_at"].isoformat()}
        for item in items
    ]
