"""A reading as pages write it."""

from __future__ import annotations

import pytest

from logbook.web.values import shown_uncertainty, shown_value
from tests.builders import Bench


@pytest.mark.parametrize(
    ("typed", "unit", "shown"),
    [
        ("3.300", "", "3.300 V"),
        ("3.2 V", "", "3.2 V"),
        ("3298", "mV", "3298 mV"),
        ("inconclusive", "", "inconclusive"),
    ],
)
def test_it_names_the_unit_once(bench: Bench, typed: str, unit: str, shown: str) -> None:
    bench.target()
    assert shown_value(bench.read(typed, unit=unit)) == shown


@pytest.mark.parametrize(
    ("limits", "value", "given", "shown"),
    [
        ("3.2..3.4 V", "3.3", "0.0001911", "190 µV"),
        ("<= -98 dBV", "-99", "0.5", "0.50 dB"),
        ("<= 1 V", "0.5", None, ""),
    ],
)
def test_it_shortens_the_uncertainty(bench: Bench, limits: str, value: str, given: str, shown: str) -> None:
    bench.target(limits=limits)
    assert shown_uncertainty(bench.read(value, expanded_uncertainty=given)) == shown
