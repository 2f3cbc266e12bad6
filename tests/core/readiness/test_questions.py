"""The questions asked before ordering."""

from __future__ import annotations

from logbook.core.readiness import QUESTIONS


def test_each_is_named_once_and_asks() -> None:
    assert len({one.key for one in QUESTIONS}) == len(QUESTIONS) == 14
    assert all(one.text.endswith("?") for one in QUESTIONS)
