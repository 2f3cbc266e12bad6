"""Open risks as the page shows them."""

from __future__ import annotations

import pytest

from logbook.web.risk_rows import without_title


@pytest.mark.parametrize(
    ("title", "reason", "says"),
    [
        (
            "Crossed lines",
            "Crossed lines; decided; its target MEM-2 is stale",
            "decided; its target MEM-2 is stale",
        ),
        ("Wire to TP14", "Wire to TP14", ""),
        ("", "no reading on any board", "no reading on any board"),
        ("Rail", "a Rail is out", "a Rail is out"),
    ],
    ids=["finding", "nothing more to say", "no title", "title in the middle"],
)
def test_a_row_does_not_say_its_title_twice(title: str, reason: str, says: str) -> None:
    assert without_title(title, reason) == says
