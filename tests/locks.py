"""A lock between the processes of one test run."""

from __future__ import annotations

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def alone(folder: Path, name: str) -> Iterator[None]:
    """Let one process at a time into the block."""
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
