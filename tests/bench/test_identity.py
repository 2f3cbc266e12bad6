"""The digest of a reading is the SHA-256 of its JSON, whatever way it is written.

The second route is the standard library's JSON with sorted names (RFC 8259 for the escapes).
"""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

from hypothesis import example, given
from hypothesis import strategies as st

from logbook.bench.commands import ReadingInput
from logbook.bench.commands.identity import content_digest_of

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
NUMBER = st.one_of(TEXT, st.integers(), st.decimals(allow_nan=False, allow_infinity=False))
MOMENTS = st.datetimes(timezones=st.sampled_from([UTC, timezone(timedelta(hours=2))])).filter(
    lambda one: 1900 < one.year < 2200
)
READINGS = st.builds(
    ReadingInput,
    project=TEXT, board=TEXT, value=NUMBER, target=TEXT, point=TEXT, unit=TEXT,
    repeats=st.sampled_from([(), ("3.1", Decimal("3.20"))]),
    expanded_uncertainty=st.none() | NUMBER, coverage_factor=st.none() | NUMBER,
    taken_at=st.none() | MOMENTS, instrument=TEXT, instrument_range=TEXT,
    bench_session=st.none() | st.integers(1, 9), firmware=TEXT, place=TEXT,
    conditions=st.dictionaries(TEXT, st.floats(-9, 9) | TEXT, max_size=2), note=TEXT,
)  # fmt: skip


def written_plainly(item: ReadingInput) -> str:
    """Return the digest of the JSON object, made name by name."""
    content: dict[str, Any] = {
        name: str(getattr(item, name))
        for name in (
            "board",
            "target",
            "point",
            "value",
            "unit",
            "instrument",
            "instrument_range",
            "firmware",
            "place",
            "note",
        )
    }
    for name in ("expanded_uncertainty", "coverage_factor", "bench_session"):
        content[name] = "" if getattr(item, name) is None else str(getattr(item, name))
    content["taken_at"] = item.taken_at.astimezone(UTC).isoformat() if item.taken_at else ""
    content["conditions"] = dict(item.conditions)
    if item.repeats:
        content["repeats"] = [str(value) for value in item.repeats]
    text = json.dumps(content, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


@given(READINGS)
@example(ReadingInput("p", "0001", "3.3", note='a "quoted" word, \\ and \x7f'))
@example(ReadingInput("p", "0001", "3.3", note="two\nlines", taken_at=datetime(2024, 3, 1, tzinfo=UTC)))
def test_it_is_that_of_the_json(item: ReadingInput) -> None:
    assert content_digest_of(item) == written_plainly(item)
