"""Frequency weightings against the table of IEC 61672-1 and SciPy's filters."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import signal

from logbook.core.errors import SignalError
from logbook.core.signals.weighting import POLES_HZ, weighting_db
from tests.core.signals.golden import agrees, kind


@pytest.mark.parametrize("entry", kind("weight"))
def test_it_reproduces_the_table_of_the_standard(entry: dict[str, Any]) -> None:
    frequencies = 1000 * 10 ** (np.array(entry["inputs"]["n"]) / 10)
    assert agrees(entry, weighting_db(frequencies, entry["inputs"]["w"]).tolist())


@pytest.mark.parametrize("entry", kind("aexact"))
def test_it_reproduces_the_exact_formula(entry: dict[str, Any]) -> None:
    assert agrees(entry, weighting_db(entry["inputs"]["f"], "A").tolist())


def test_it_agrees_with_the_analogue_filter_of_the_poles() -> None:
    first, second, third, fourth = (-2 * np.pi * pole for pole in POLES_HZ)
    at = np.array([10.0, 1000.0, 3150.0, 20000.0])
    _, gain = signal.freqs_zpk(
        [0] * 4, [first, first, second, third, fourth, fourth], 1.0, worN=2 * np.pi * at
    )
    assert weighting_db(at, "A") == pytest.approx(20 * np.log10(np.abs(gain / gain[1])), abs=1e-9)


@pytest.mark.parametrize(("hertz", "weighting"), [(100.0, "B"), (-1.0, "A"), (0.0, "A")])
def test_it_refuses_what_has_no_weight(hertz: float, weighting: Any) -> None:
    with pytest.raises(SignalError):
        weighting_db([hertz], weighting)
