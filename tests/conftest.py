"""Fixtures of the whole test run."""

from __future__ import annotations

import pytest

from tests.builders import Bench, build_bench


@pytest.fixture
def bench(db: None) -> Bench:
    """Return a small project with its people; see ``tests.builders``."""
    return build_bench()
