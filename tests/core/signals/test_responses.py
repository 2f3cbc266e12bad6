"""Closed forms of responses against published values and simulated steps."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from logbook.core.signals import waveform_numbers
from logbook.core.signals.integrals import mean_and_rms
from logbook.core.signals.responses import (
    average_meter_error,
    damping_of_overshoot,
    first_order_transition,
    overshoot_of_damping,
    rise_time_of_bandwidth,
)
from tests.core.signals.golden import agrees, one, wave


def test_it_reproduces_first_order_edges() -> None:
    found = {
        "r1090": first_order_transition(1),
        "bw_product": rise_time_of_bandwidth(1),
        "r2080": first_order_transition(1, 20, 80),
    }
    assert agrees(one("G-17"), found)


def test_it_reproduces_the_rise_time_of_a_bandwidth() -> None:
    assert agrees(one("G-18"), rise_time_of_bandwidth(1e6) * 1e9)


def test_it_reproduces_overshoot_and_damping() -> None:
    assert agrees(one("G-32"), {"os": overshoot_of_damping(0.5), "zeta": damping_of_overshoot(10)})


def test_a_simulated_second_order_step_overshoots_as_the_closed_form() -> None:
    times, step = signal.step(([1], [1, 1, 1]), T=np.linspace(0, 200, 200_001))
    found = waveform_numbers(wave(np.r_[np.zeros(50_000), step], times[1]))
    assert found.overshoot_percent == pytest.approx(overshoot_of_damping(0.5), abs=0.01)


def test_a_simulated_first_order_step_rises_as_the_closed_form() -> None:
    step = 1 - np.exp(-np.arange(12_000) / 1000)
    found = waveform_numbers(wave(np.r_[np.zeros(5_000), step]))
    assert found.rise_time_s == pytest.approx(first_order_transition(1000), rel=3e-3)


def test_it_reproduces_the_error_of_an_average_responding_meter() -> None:
    turns = (np.arange(100_000) + 0.5) / 100_000
    waves = {"square": np.where(turns < 0.5, 1.0, -1.0), "triangle": 4 * np.abs(turns - 0.5) - 1}
    found = {name: average_meter_error(np.abs(v).mean(), mean_and_rms(v).rms) for name, v in waves.items()}
    assert found == pytest.approx(one("G-27")["expected"], abs=1e-6)
