"""Numbers of sweeps against defined and analytic answers."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import signal

from logbook.core.errors import SignalError
from logbook.core.signals import Sweep, corners, flatness, gain_at, group_delay
from tests.core.signals.golden import agrees, kind, one


def low_pass(count: int = 20_001) -> Sweep:
    hertz = np.geomspace(10, 100_000, count)
    gain = 1 / (1 + 1j * hertz / 1591.55)
    return Sweep(hertz, 20 * np.log10(np.abs(gain)), np.degrees(np.angle(gain)))


@pytest.mark.parametrize("entry", kind("m3db"))
def test_it_reproduces_the_corner_of_a_coarse_sweep(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    sweep = Sweep(np.array(given["f"], dtype=float), np.array(given["dB"]))
    assert agrees(entry, corners(sweep, given["drop"], given["ref"]).upper_hz)


@pytest.mark.parametrize("entry", kind("gdphase"))
def test_it_reproduces_the_delay_between_two_phases(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    sweep = Sweep(np.array(given["f"], dtype=float), np.zeros(2), np.array(given["phase_deg"], dtype=float))
    assert agrees(entry, float(group_delay(sweep)[1][0]))


def test_a_fine_sweep_shows_the_true_corner() -> None:
    found = corners(low_pass())
    assert found.upper_hz == pytest.approx(1591.55, rel=1e-4)
    assert found.lower_hz is None


def test_a_band_pass_has_both_corners() -> None:
    hertz = np.geomspace(1, 1e6, 50_001)
    gain = (1j * hertz / 20) / (1 + 1j * hertz / 20) / (1 + 1j * hertz / 20_000)
    found = corners(Sweep(hertz, 20 * np.log10(np.abs(gain))), reference_hz=632.0)
    assert found.lower_hz == pytest.approx(20, rel=3e-3)
    assert found.upper_hz == pytest.approx(20_000, rel=3e-3)


def test_group_delay_of_a_first_order_low_pass_follows_its_closed_form() -> None:
    entry, tau = one("G-23"), 1e-4
    hertz = np.concatenate((np.linspace(0.1, 0.2, 3), np.linspace(1591.54, 1591.56, 3)))
    phases = -np.degrees(np.arctan(2 * np.pi * hertz * tau))
    _, delays = group_delay(Sweep(hertz, np.zeros(6), phases))
    assert delays[0] == pytest.approx(entry["expected"]["dc"], rel=1e-6)
    assert delays[-1] == pytest.approx(entry["expected"]["corner"], rel=1e-5)


def test_group_delay_of_a_butterworth_starts_at_its_closed_form() -> None:
    hertz = np.linspace(0.1, 1, 10)
    _, gain = signal.freqs(*signal.butter(2, 2 * np.pi * 1000, analog=True), worN=2 * np.pi * hertz)
    _, delays = group_delay(Sweep(hertz, np.zeros(10), np.degrees(np.angle(gain))))
    assert delays[0] == pytest.approx(one("G-24")["expected"], rel=1e-5)


def test_flatness_includes_the_interpolated_ends() -> None:
    sweep = Sweep(np.array([10.0, 1000.0]), np.array([0.0, 2.0]))
    assert flatness(sweep, 10, 100).spread_db == pytest.approx(1.0)


def test_gain_runs_straight_over_log_frequency() -> None:
    assert gain_at(Sweep(np.array([10.0, 1000.0]), np.array([0.0, 2.0])), 100) == pytest.approx(1.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: gain_at(low_pass(11), 1.0),
        lambda: flatness(low_pass(11), 100, 10),
        lambda: corners(low_pass(11), -3),
        lambda: corners(low_pass(11), reference_db=40),
        lambda: group_delay(Sweep(np.array([1.0, 2.0]), np.zeros(2))),
        lambda: Sweep(np.array([2.0, 1.0]), np.zeros(2)),
        lambda: Sweep(np.array([1.0, 2.0]), np.array([0.0, np.nan])),
    ],
    ids=["outside", "upside down", "no drop", "reference too high", "no phase", "falling", "no number"],
)
def test_it_refuses_what_the_sweep_does_not_carry(call: Any) -> None:
    with pytest.raises(SignalError):
        call()
