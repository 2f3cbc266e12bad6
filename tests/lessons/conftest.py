"""Two projects that learn from each other."""

from __future__ import annotations

import pytest

from logbook.lessons.models import Lesson
from tests.builders import Bench, build_bench
from tests.lessons.writing import write


@pytest.fixture
def lesson(bench: Bench) -> Lesson:
    """Return TRN-L1 of the project tern, accepted and shared, asked where there is a power subsystem."""
    return write(bench)


@pytest.fixture
def other(db: None) -> Bench:
    """Return another project, "gull", with people of its own."""
    return build_bench("gull")
