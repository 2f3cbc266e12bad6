"""Fitted sines against the truth they were made from, and SciPy's own least squares."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.optimize import least_squares

from logbook.core.errors import SignalError
from logbook.core.signals.sine_fit import fit_sine, fit_sine_and_frequency, frequency_of_uneven
from tests.core.signals.golden import agrees, kind


def sampled(given: dict[str, Any]) -> tuple[Any, Any]:
    times = np.arange(given["N"]) / given["fs"]
    return times, given["offset"] + given["amp"] * np.cos(2 * np.pi * given["f"] * times + given["phase"])


@pytest.mark.parametrize("entry", kind("sinefit3"))
def test_it_recovers_a_sine_of_known_frequency(entry: dict[str, Any]) -> None:
    found = fit_sine(*sampled(entry["inputs"]), entry["inputs"]["f"])
    assert agrees(entry, {"offset": found.offset, "amp": found.amplitude, "phase": found.phase_rad})


@pytest.mark.parametrize("entry", kind("sinefit4"))
def test_it_recovers_the_frequency_too(entry: dict[str, Any]) -> None:
    found = fit_sine_and_frequency(*sampled(entry["inputs"]), entry["inputs"]["f_start"])
    assert agrees(entry, {"f": found.frequency_hz, "amp": found.amplitude})


@pytest.mark.parametrize("entry", kind("lomb"))
def test_it_finds_a_frequency_at_uneven_times(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    index = np.arange(given["count"])
    times = given["step"] * index + given["jit"] * np.sin(index**2)
    found = frequency_of_uneven(times, given["amp"] * np.sin(2 * np.pi * given["f"] * times), 1, 40)
    assert agrees(entry, {"f": found.frequency_hz, "amp": found.amplitude})


def test_a_noisy_fit_agrees_with_scipy() -> None:
    times = np.arange(500) / 500
    samples = 0.3 + np.cos(2 * np.pi * 20.3 * times + 1) + np.random.default_rng(4).normal(0, 0.1, 500)
    found = fit_sine_and_frequency(times, samples, 20.4)
    solved = least_squares(
        lambda p: p[0] + p[1] * np.cos(2 * np.pi * p[2] * times + p[3]) - samples, [0, 1, 20.4, 1], xtol=1e-15
    )
    assert (found.offset, found.amplitude, found.frequency_hz) == pytest.approx(solved.x[:3], rel=1e-6)


def test_it_refuses_a_band_upside_down() -> None:
    with pytest.raises(SignalError):
        frequency_of_uneven(np.arange(10), np.ones(10), 2, 1)
