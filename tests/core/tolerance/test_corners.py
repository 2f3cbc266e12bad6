import tracemalloc

import pytest

from logbook.core.errors import ToleranceError
from logbook.core.formulas import parse_formula
from logbook.core.tolerance import Part, corner_extremes


def test_it_flips_parts_beyond_one_array() -> None:
    names = [f"p{i}" for i in range(16)]
    found = corner_extremes(parse_formula("+".join(names)), [Part(n, 1, 0, 2) for n in names])
    assert found == (0, 32)


def test_its_memory_does_not_grow_with_the_corners() -> None:
    names = [f"p{i}" for i in range(17)]
    tracemalloc.start()
    corner_extremes(parse_formula("+".join(names)), [Part(n, 1, 0, 2) for n in names])
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 2**17 * 8 * 5  # one array of all corners for each part would need 17 times 1 MB


def test_it_refuses_more_corners_than_it_can_visit() -> None:
    names = [f"p{i}" for i in range(25)]
    with pytest.raises(ToleranceError, match="corners"):
        corner_extremes(parse_formula("+".join(names)), [Part(n, 1, 0, 2) for n in names])
